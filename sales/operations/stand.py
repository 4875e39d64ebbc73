"""Open a stand, put plants out, bring them back, move money, undo any of it."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.utils.text import capfirst

from inventory.models import Lot, Nursery, Place
from inventory.operations.posting import ledger_held, refuse_closed
from inventory.queries.on_hand import on_hand_on
from nursery.money import round_to_currency
from sales.errors import SaleRefused
from sales.models import BoxEntry, StandDay, StandPlants, StandStep
from sales.operations.at_stand import refuse_no_stand
from sales.queries.promises import is_ready, promised
from sales.queries.put_out import put_out_on
from sales.queries.words import day_words, held_words

Kind = StandStep.Kind
NOTHING = Decimal(0)


def open_stand(
    *,
    place: Place,
    began_with: Decimal,
    on: date,
    request_id: UUID,
    attended: bool = True,
    plants: Mapping[Lot, int] | None = None,
    note: str = "",
    by=None,
) -> StandDay:
    """Open a stand with a float in its box, and with plants out where they are given.

    Without `attended` nobody is there: what was sold is worked out at closing from what is
    left. Raises SaleRefused where a stand is open at that place already, and what
    `put_out` refuses.
    """
    with ledger_held():
        done = step_of(request_id)
        if done:
            return done.day
        refuse_closed(on)
        refuse_no_amount(began_with, "began_with")
        refuse_second(place)
        day = StandDay.objects.create(
            place=place, date=on, attended=attended, began_with=began_with
        )
        step = write_step(day, Kind.OPENED, on, note, request_id, by)
        if plants:
            _place_out(step, plants)
        return day


def put_out(
    *,
    day: StandDay,
    plants: Mapping[Lot, int],
    on: date,
    request_id: UUID,
    note: str = "",
    by=None,
) -> StandStep:
    """Put plants of some lots out at a stand; they stay in their lots and are held for it.

    Raises SaleRefused where they are not ready, or not free.
    """
    with ledger_held():
        done = step_of(request_id)
        if done:
            return done
        step = _begin(day, Kind.PLANTS, plants, on, note, request_id, by)
        _place_out(step, plants)
        return step


def bring_back(
    *,
    day: StandDay,
    plants: Mapping[Lot, int],
    on: date,
    request_id: UUID,
    note: str = "",
    by=None,
) -> StandStep:
    """Bring plants back from a stand, so that they are free again.

    Raises SaleRefused for more than should still be out.
    """
    with ledger_held():
        done = step_of(request_id)
        if done:
            return done
        step = _begin(day, Kind.PLANTS, plants, on, note, request_id, by)
        still = {row.lot_id: row.open for row in put_out_on(day)}
        for lot, number in plants.items():
            if number > still.get(lot.pk, 0):
                raise SaleRefused(
                    f"{still.get(lot.pk, 0)} of lot {lot} should still be out; {number} cannot "
                    "come back. Enter that number or fewer, or undo a sale that was not.",
                    field=f"n-{lot.pk}",
                )
        write_plants(step, {lot: -number for lot, number in plants.items()})
        return step


def move_money(
    *,
    day: StandDay,
    kind: str,
    amount: Decimal,
    on: date,
    request_id: UUID,
    note: str = "",
    by=None,
) -> StandStep:
    """Take money out of a stand's box, or put some in where the amount is above nothing.

    `kind` is one of BoxEntry.BY_HAND. Raises SaleRefused for nothing, for what is not whole
    in the currency, and where something was paid for without saying what.
    """
    with ledger_held():
        done = step_of(request_id)
        if done:
            return done
        if kind not in BoxEntry.BY_HAND:
            raise SaleRefused("Say where the money went, or came from.", field="kind")
        if not amount:
            raise SaleRefused("Enter an amount above nothing.", field="amount")
        refuse_no_amount(abs(amount), "amount")
        if kind == BoxEntry.Kind.PAID_OUT and not note.strip():
            raise SaleRefused("Say what was paid for, as “petrol for the mower”.", field="note")
        refuse_closed(on)
        refuse_no_stand(day, on)
        step = write_step(day, Kind.MONEY, on, note, request_id, by)
        write_money(step, kind, amount, note)
        return step


def step_of(request_id: UUID) -> StandStep | None:
    """Return the step an earlier try of this request wrote."""
    return StandStep.objects.filter(request_id=request_id).select_related("day").first()


def write_step(day, kind, on, note, request_id, by, reverses=None) -> StandStep:
    """Write one step of a day and return it. Call it with the ledger held."""
    step = StandStep(
        day=day,
        kind=kind,
        date=on,
        note=note,
        request_id=request_id,
        entered_by=by,
        reverses=reverses,
    )
    step.save(force_insert=True)
    return step


def write_plants(step: StandStep, plants: Mapping[Lot, int]) -> None:
    """Write what a step put out, or brought back where negative."""
    StandPlants.objects.bulk_create(
        StandPlants(step=step, lot=lot, quantity=number) for lot, number in plants.items() if number
    )


def write_money(step: StandStep, kind: str, amount: Decimal, note: str) -> None:
    """Write what joined the box with a step, or left it."""
    BoxEntry(
        step=step,
        date=step.date,
        kind=kind,
        amount=amount,
        note=note,
        request_id=step.request_id,
    ).save(force_insert=True)


def refuse_second(place: Place) -> None:
    """Raise SaleRefused where a stand is open at a place."""
    other = StandDay.objects.open().filter(place=place).select_related("place").first()
    if other:
        raise SaleRefused(
            f"{capfirst(other.party)} is open since {day_words(other.date)}. Close it first, or "
            "choose another place.",
            field="place",
        )


def refuse_no_amount(amount: Decimal, name: str) -> None:
    """Raise SaleRefused for what no box can hold: less than nothing, or parts of a cent."""
    currency = Nursery.current().currency
    if amount < 0 or amount != round_to_currency(amount, currency):
        raise SaleRefused(
            f"{amount} is not an amount of money in {currency} that a box can hold.", field=name
        )


def refuse_kept(before, plants: set[int], on: date) -> None:
    """Raise SaleRefused where what is out now makes a promise shorter than it was before."""
    after = promised(on, plants)
    short = after.allocation.shorter_than(before.allocation)
    if not short:
        return
    key = max(short, key=short.get)
    line = after.lines[key]
    words = held_words(
        (row, row.open)
        for row in after.lines.values()
        if row.pk != key and row.plant_id == line.plant_id and row.container_id == line.container_id
    )
    raise SaleRefused(
        f"{line.plant} in {line.container}: {short[key]} more than are free would be out. "
        f"{words}Put out fewer, or let go of a hold.",
        field="quantity",
    )


def _begin(day, kind, plants, on, note, request_id, by):
    if not plants or any(number < 1 for number in plants.values()):
        raise SaleRefused("Say how many plants, at least one.", field="quantity")
    refuse_closed(on)
    refuse_no_stand(day, on)
    return write_step(day, kind, on, note, request_id, by)


def _place_out(step, plants):
    for lot in plants:
        if not is_ready(lot, step.date):
            raise SaleRefused(
                f"Lot {lot} is not ready to sell before {day_words(lot.ready_on)}. Put out "
                "another lot, or change that day on the lot's page.",
                field="quantity",
            )
    kinds = {lot.plant_id for lot in plants}
    before = promised(step.date, kinds)
    for lot, number in plants.items():
        free = before.allocation.left.get(lot.pk, on_hand_on(lot, step.date))
        if number > free:
            raise SaleRefused(
                f"{free} of lot {lot} are free; {number} cannot be put out. Put out fewer, "
                "let go of a hold, or count the lot first.",
                field="quantity",
            )
    write_plants(step, plants)
    refuse_kept(before, kinds, step.date)
