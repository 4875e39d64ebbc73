"""Bring what stood in a notebook into the ledger, as one entry of opening stock."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.entered_with import PriceTold, keep_prices
from inventory.errors import LedgerError
from inventory.models import (
    Batch,
    Container,
    ImportDraft,
    Lot,
    LotBalance,
    Movement,
    Operation,
    Place,
    Plant,
)
from inventory.names import clean_name, search_key
from inventory.operations.posting import Draft, ledger_held, post, refuse_closed
from inventory.queries.codes_in_use import CodesInUse
from inventory.queries.ledger_rows import parts

CATEGORY = "plants"


@dataclass(frozen=True)
class Standing:
    """Plants that stand in the nursery: what, how many, where, since when, at what cost.

    `amount` is what all of them cost so far, `price` what one is sold for. Without a lot
    code one is proposed. Plants whose potting day is known have it in `transplanted_on`.
    """

    plant: str
    container: Container
    quantity: int
    began_on: date
    transplanted_on: date | None = None
    place: str = ""
    lot: str = ""
    amount: Decimal | None = None
    ready_on: date | None = None
    grade: str = ""
    price: Decimal | None = None
    common_name: str = ""
    note: str = ""


def bring_in(
    *, rows: Sequence[Standing], on: date, request_id: UUID, note: str = "", by=None
) -> Operation:
    """Enter all rows as opening stock counted on a day: one entry, undone as one.

    Each row begins a batch and its lot, which is as old as the row says. Plants and places
    named for the first time are made. The same request again returns the first entry.
    Raises LedgerError where a lot code is in use, and PeriodClosed; then nothing is written.
    """
    with ledger_held():
        done = Operation.objects.filter(request_id=request_id).first()
        if done:
            return done
        refuse_closed(on)
        _refuse(rows, on)
        plants, places = _plants_of(rows), _places_of(rows)
        lots, batches = _lots_and_batches(rows, plants)
        draft = Draft.of(Batch.Kind.OPENING, on, note)
        for row, lot, batch in zip(rows, lots, batches, strict=True):
            draft.move(Movement.Kind.BEGUN, row.quantity, to_lot=lot, batch=batch)
            draft.charge(lot, {CATEGORY: row.amount or Decimal(0)})
            draft.stand(lot, places.get(row.place.casefold()))
        operation = post(draft, request_id=request_id, by=by)
        keep_prices(_prices_of(rows, plants), on=on, request_id=request_id, by=by)
        return operation


def bring_in_draft(
    *, draft: ImportDraft, rows: Sequence[Standing], note: str = "", by=None
) -> Operation:
    """Enter the rows of a notebook, and forget its draft in the same transaction."""
    with ledger_held():
        operation = bring_in(rows=rows, on=draft.counted_on, request_id=draft.key, note=note, by=by)
        ImportDraft.objects.filter(pk=draft.pk).delete()
        return operation


def _refuse(rows, on):
    if not rows:
        raise LedgerError("No row comes in. Answer what is asked below, or match the columns anew.")
    for row in rows:
        if row.quantity < 1:
            raise LedgerError(f"{row.plant}: begin with at least one plant.", field="quantity")
        if row.began_on > on or (row.transplanted_on or row.began_on) > on:
            raise LedgerError(
                f"{row.plant} began on {row.began_on.isoformat()}, after the day they were "
                f"counted, {on.isoformat()}. Choose a later day of counting.",
                field="on",
            )


def _plants_of(rows: Iterable[Standing]) -> dict[str, Plant]:
    """Return {search key: plant}, made where it is new."""
    found = {plant.search_key: plant for plant in Plant.objects.all()}
    fresh = {}
    for row in rows:
        key = search_key(row.plant)
        if key not in found and key not in fresh:
            name = clean_name(row.plant)
            fresh[key] = Plant(name=name, search_key=key, common_name=row.common_name)
        elif key in fresh and not fresh[key].common_name:
            fresh[key].common_name = row.common_name
    Plant.objects.bulk_create(fresh.values())
    return found | fresh


def _places_of(rows: Iterable[Standing]) -> dict[str, Place]:
    """Return {name in small letters: place}, made where it is new."""
    found = {place.name.casefold(): place for place in Place.objects.all()}
    named = {row.place.casefold(): Place(name=row.place) for row in reversed(rows) if row.place}
    fresh = {key: place for key, place in named.items() if key not in found}
    Place.objects.bulk_create(fresh.values())
    return found | fresh


def _lots_and_batches(rows, plants) -> tuple[list[Lot], list[Batch]]:
    """Return the lot and the batch of each row, written.

    A code that nothing in force uses any more, as after an undo, is given its new meaning.
    """
    codes = CodesInUse()
    lots, batches = [], []
    for row in rows:
        plant = plants[search_key(row.plant)]
        batch_code, lot_code = _codes_of(row, plant, codes)
        batches.append(
            Batch(code=batch_code, plant=plant, kind=Batch.Kind.OPENING, started_on=row.began_on)
        )
        lots.append(
            Lot(
                code=lot_code,
                plant=plant,
                container=row.container,
                grade=row.grade,
                began_on=row.began_on,
                transplanted_on=row.transplanted_on,
                ready_on=row.ready_on,
                note=row.note,
            )
        )
    _write(Batch, batches, ("plant", "kind", "started_on", "stock_plant", "treatment", "note"))
    _write(Lot, lots, (*_LOT_FACTS, "note"))
    LotBalance.objects.bulk_create((LotBalance(lot=lot) for lot in lots), ignore_conflicts=True)
    return lots, batches


_LOT_FACTS = ("plant", "container", "grade", "began_on", "transplanted_on", "ready_on")


def _codes_of(row, plant, codes: CodesInUse) -> tuple[str, str]:
    if not row.lot:
        batch = codes.next_batch(plant, row.began_on)
        return batch, codes.lot_of(batch, row.container)
    if not codes.take_lot(row.lot):
        raise LedgerError(
            f"Lot {row.lot} is in use already. Give {row.plant} another lot code, or none.",
            field="lot",
        )
    return codes.batch_like(row.lot, plant, row.began_on), row.lot


def _write(model, wanted: list, fields: tuple[str, ...]) -> None:
    """Write rows by their code, giving those that are there and unused their new facts."""
    there = {}
    for chunk in parts(row.code for row in wanted):
        there |= dict(model.objects.filter(code__in=chunk).values_list("code", "pk"))
    for row in wanted:
        row.pk = there.get(row.code)
    model.objects.bulk_create([row for row in wanted if row.pk is None])
    known = [row for row in wanted if row.code in there]
    if known:
        model.objects.bulk_update(known, fields, batch_size=500)


def _prices_of(rows, plants) -> list[PriceTold]:
    """Return the prices told; of one plant in one container and grade, the last."""
    told = {}
    for row in rows:
        if row.price is not None:
            plant = plants[search_key(row.plant)]
            key = (plant.pk, row.container.pk, row.grade)
            told[key] = PriceTold(plant, row.container, row.grade, row.price)
    return list(told.values())
