"""The only way into the ledger: one transaction, one request, one operation."""

from collections import defaultdict
from collections.abc import Callable, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import wraps
from uuid import UUID

from django.conf import settings
from django.db import connection, transaction

from inventory.costing.replay import Overdrawn
from inventory.errors import LedgerError, NotEnoughPlants, PeriodClosed
from inventory.models import (
    Batch,
    CostEntry,
    Count,
    LossCause,
    Lot,
    LotBalance,
    Measurement,
    Movement,
    Operation,
    Place,
    Placement,
    SupplyEntry,
    WorkEntry,
)
from inventory.operations.kept_rows import write_balances, write_carried, write_uncarried
from inventory.operations.settling import settle_new
from inventory.operations.unfit import refused_in_words
from inventory.queries.closed import closed_to
from inventory.queries.ledger_rows import parts
from inventory.queries.on_hand import places_now, sizes_now
from inventory.sizes import Size
from nursery.money import to_millionths

LEDGER_LOCK = 5_021_771
WAIT = "SELECT set_config('lock_timeout', %s, true)"
HOLD = "SELECT pg_advisory_xact_lock(%s)"


LINES = (
    (CostEntry, "costs"),
    (Placement, "placements"),
    (Count, "counts"),
    (Measurement, "measurements"),
    (SupplyEntry, "supplies"),
    (WorkEntry, "work"),
)


@dataclass
class Draft:
    """An operation as it is about to be written, with all its lines."""

    operation: Operation
    movements: list[Movement] = field(default_factory=list)
    costs: list[CostEntry] = field(default_factory=list)
    placements: list[Placement] = field(default_factory=list)
    counts: list[Count] = field(default_factory=list)
    measurements: list[Measurement] = field(default_factory=list)
    supplies: list[SupplyEntry] = field(default_factory=list)
    work: list[WorkEntry] = field(default_factory=list)

    @classmethod
    def of(cls, kind: str, on: date, note: str = "") -> "Draft":
        """Begin a draft of an operation of that kind and day."""
        return cls(Operation(kind=kind, date=on, note=note))

    @property
    def date(self) -> date:
        return self.operation.date

    def move(
        self,
        kind: str,
        quantity: int,
        *,
        from_lot: Lot | None = None,
        to_lot: Lot | None = None,
        batch: Batch | None = None,
        cause: LossCause | None = None,
        of: Movement | None = None,
    ) -> Movement | None:
        """Add a movement; none where there are no plants to move."""
        if not quantity:
            return None
        movement = Movement(
            operation=self.operation,
            date=self.date,
            kind=kind,
            quantity=quantity,
            from_lot=from_lot,
            to_lot=to_lot,
            batch=batch,
            cause=cause,
            of=of,
        )
        self.movements.append(movement)
        return movement

    def charge(self, lot: Lot, costs: Mapping[str, Decimal] | None) -> None:
        """Add money to the lot, category by category, leaving out nothing but zeros."""
        for category, amount in (costs or {}).items():
            if amount:
                self.costs.append(
                    CostEntry(
                        operation=self.operation,
                        date=self.date,
                        lot=lot,
                        category=category,
                        amount=amount,
                    )
                )

    def stand(self, lot: Lot, place: Place | None) -> None:
        """Say where the lot stands from now on."""
        if place:
            self.placements.append(
                Placement(operation=self.operation, date=self.date, lot=lot, place=place)
            )

    def count(self, lot: Lot, found: int) -> None:
        """Note that the lot was counted."""
        self.counts.append(Count(operation=self.operation, date=self.date, lot=lot, found=found))

    def measure(self, lot: Lot, size: Size | None, measured_on: "date | None" = None) -> None:
        """Say which size all plants of the lot have from now on; None is none that is known."""
        self.measurements.append(
            Measurement(
                operation=self.operation,
                date=self.date,
                lot=lot,
                lower_mm=size and size.lower_mm,
                upper_mm=size and size.upper_mm,
                measured_on=measured_on or self.date,
            )
        )

    @property
    def is_empty(self) -> bool:
        """Say whether nothing of plants, money, places or sizes is in it."""
        lines = (self.movements, self.costs, self.placements, self.counts, self.measurements)
        return not any(lines)


@contextmanager
def ledger_held():
    """Hold the ledger for one writer until the transaction ends.

    SQLite has one writer at a time by itself (its transactions begin IMMEDIATE). On either a
    second one waits, and gives up after as long with an OperationalError. What the database or
    the arithmetic cannot hold is refused like anything else that is wrong.
    """
    with refused_in_words(), transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute(WAIT, [f"{settings.LEDGER_WAIT_SECONDS}s"])
                cursor.execute(HOLD, [LEDGER_LOCK])
        yield


def writes_ledger(verb: Callable[..., Draft]) -> Callable[..., Operation]:
    """Turn a verb that drafts an operation into one that writes it, once.

    The write is one transaction. The same `request_id` again returns the first
    operation and writes nothing. `verb.draft` is the verb as it was.
    """

    @wraps(verb)
    def write(*, request_id: UUID, by=None, **what) -> Operation:
        with ledger_held():
            done = Operation.objects.filter(request_id=request_id).first()
            return done or post(verb(**what), request_id=request_id, by=by)

    write.draft = verb
    return write


def post(draft: Draft, *, request_id: UUID, by=None) -> Operation:
    """Write a draft and all that follows from it. Call it with the ledger held.

    Raises NotEnoughPlants where a lot would hold fewer than no plants at any
    moment, PeriodClosed for a closed day, and LedgerError for an operation that
    would change nothing.
    """
    (operation,) = post_together([draft], request_ids=[request_id], by=by)
    return operation


def post_together(drafts: list[Draft], *, request_ids: list[UUID], by=None) -> list[Operation]:
    """Write drafts, ordered by date, as `post` does each, working out the costs only once."""
    refuse_closed(drafts[0].date)
    for draft in drafts:
        if draft.is_empty:
            raise LedgerError("Nothing would change. Enter a number, a place or an amount.")
    lines = _lines_of(drafts)
    settlement = _settled(lines, drafts[0].date)
    for draft, request_id in zip(drafts, request_ids, strict=True):
        operation = draft.operation
        operation.request_id, operation.entered_by = request_id, by
        operation.save(force_insert=True)
    write_lines(drafts)
    _write_settlement(lines, drafts[0].date, settlement)
    keep_places({row.lot_id for draft in drafts for row in draft.placements})
    keep_sizes({row.lot_id for draft in drafts for row in draft.measurements})
    return [draft.operation for draft in drafts]


def write_lines(drafts: list[Draft]) -> None:
    """Write the lines of drafts whose operations are saved."""
    # Movements that name one another go in one after the other, the rest at once.
    for draft in drafts:
        if any(row.of_id is None and row.of for row in draft.movements):
            _save_in_turn(draft)
    waiting = [row for d in drafts for row in d.movements if row.pk is None]
    Movement.objects.bulk_create(_attached(waiting))
    for model, name in LINES:
        rows = [row for draft in drafts for row in getattr(draft, name)]
        if rows:
            model.objects.bulk_create(_attached(rows))


def refuse_closed(on: date) -> None:
    """Raise PeriodClosed where that day is closed."""
    closed = closed_to()
    if closed and on <= closed:
        raise PeriodClosed(on, closed)


def word_overdrawn(error: Overdrawn) -> NotEnoughPlants:
    """Return the refusal a person can act on."""
    on = error.on if isinstance(error.on, date) else date.fromisoformat(error.on)
    code = Lot.objects.values_list("code", flat=True).get(pk=error.lot)
    return NotEnoughPlants(code, held=error.held, wanted=error.wanted, on=on)


def _lines_of(drafts) -> tuple[list[Movement], list[CostEntry]]:
    return (
        [row for draft in drafts for row in draft.movements],
        [row for draft in drafts for row in draft.costs],
    )


def _settled(lines, on):
    try:
        return settle_new(_rows(*lines), on)
    except Overdrawn as error:
        raise word_overdrawn(error) from error


def _rows(movements, costs) -> list[tuple]:
    """The lines as `inventory.costing.replay` reads them, keyed -1, -2, ..."""
    keys = {id(row): -n for n, row in enumerate(movements, start=1)}
    moved = [
        (
            row.date,
            0,
            0,
            keys[id(row)],
            str(row.kind),
            row.from_lot_id,
            row.to_lot_id,
            row.quantity,
            keys.get(id(row.of), row.of_id),
        )
        for row in movements
    ]
    return moved + [
        (row.date, 0, 1, -n, row.category, row.lot_id, None, amount, None)
        for n, row in enumerate(costs, start=1)
        if (amount := to_millionths(row.amount))
    ]


def _attached(rows):
    for row in rows:
        row.operation = row.operation
    return rows


def _save_in_turn(draft):
    for row in draft.movements:
        row.operation, row.of = row.operation, row.of
        row.save(force_insert=True)


def _write_settlement(lines, on, settlement):
    movements, entries = ({-n: row.pk for n, row in enumerate(rows, start=1)} for rows in lines)
    write_carried(
        (movements.get(key, key), after, carried)
        for key, (after, carried) in settlement.carried.items()
    )
    write_balances(settlement.balances, on, _last_days(*lines))
    write_uncarried(
        {
            entries.get(key, key): uncarried
            for key, uncarried in settlement.uncarried.items()
            if uncarried or key > 0
        }
    )


def _last_days(movements, costs) -> dict[int, date]:
    """Return {lot: the day of its last line} of lines by date."""
    days = {row.lot_id: row.date for row in costs}
    for row in movements:
        for lot in filter(None, (row.from_lot_id, row.to_lot_id)):
            days[lot] = max(row.date, days.get(lot, row.date))
    return days


def keep_places(lots) -> None:
    """Keep where the lots stand, from their placements in force."""
    standing = defaultdict(list)
    for lot, place in places_now(lots).items():
        standing[place].append(lot)
    for place, there in standing.items():
        for chunk in parts(there):
            LotBalance.objects.filter(pk__in=chunk).update(place=place)


def keep_sizes(lots) -> None:
    """Keep which measurement holds for the lots, from their measurements in force."""
    for lot, measurement in sizes_now(lots).items():
        LotBalance.objects.filter(pk=lot).update(measurement=measurement)
