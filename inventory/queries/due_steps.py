"""Which steps are due, worked out from methods and from what stands now. Nothing is planned ahead.

A step concerns those lots of its batch that it can still be done to: trays for potting up,
uncounted trays for the rooted count, trays in a heated place for taking off the heat. Once
none is left the step is done, whether somebody ticked it or not.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db import connection
from django.db.models import Max

from inventory.age import MonthAndDay
from inventory.models import Batch, Count, Lot, MethodStep, Nursery, Operation, Place, StepDone
from inventory.queries.ledger_rows import marks, parts
from inventory.queries.lots import season_end_of
from inventory.queries.on_hand import in_force
from inventory.queries.steps_done import done_of
from inventory.queries.to_do import unrooted_trays
from inventory.timing import Window, windows

Work = MethodStep.Work
# What nobody did for so long is shown with its batch only.
FORGOTTEN_AFTER = timedelta(weeks=13)
# No method takes longer.
LONGEST_YEARS = 6

LOTS_OF_BATCHES = """
WITH RECURSIVE line (batch_id, lot_id) AS (
    SELECT m.batch_id, m.to_lot_id FROM inventory_movement m
    JOIN inventory_carried c ON c.movement_id = m.id
    WHERE m.batch_id IN ({batches})
    UNION
    SELECT line.batch_id, m.to_lot_id FROM line
    JOIN inventory_movement m ON m.from_lot_id = line.lot_id AND m.kind = 'moved'
    JOIN inventory_carried c ON c.movement_id = m.id
)
SELECT line.batch_id, line.lot_id FROM line
JOIN inventory_lotbalance b ON b.lot_id = line.lot_id WHERE b.on_hand > 0
"""


@dataclass
class BatchStep:
    """One step of one batch: when it is its time, to which lots, and when it was done.

    `done` is who ticked it, where somebody did; the ledger alone may know `done_on`.
    """

    batch: Batch
    step: MethodStep
    window: Window | None
    lots: list[Lot] = field(default_factory=list)
    done: StepDone | None = None
    done_on: date | None = None
    state: str = ""

    @property
    def plants(self) -> int:
        return sum(lot.balance.on_hand for lot in self.lots)

    @property
    def place(self) -> Place | None:
        """Where most of its plants stand."""
        most = max(self.lots, key=lambda lot: lot.balance.on_hand, default=None)
        return most.balance.place if most else None


def landmarks_of(nursery: Nursery) -> dict[str, MonthAndDay | None]:
    """Return the days of the year that steps are timed by; None where a frost is not told."""
    return {
        "last_frost": _day(nursery.last_frost_month, nursery.last_frost_day),
        "first_frost": _day(nursery.first_frost_month, nursery.first_frost_day),
        "season_start": (nursery.season_start_month, 1),
        "season_end": season_end_of(nursery),
    }


def due_steps(on: date, nursery: Nursery, *, weeks: int = 4) -> list[BatchStep]:
    """Return what is overdue, due, or due within some weeks, the most pressing first."""
    begun_after = date(on.year - LONGEST_YEARS, 1, 1)
    batches = Batch.objects.filter(method__isnull=False, started_on__gt=begun_after)
    until = on + timedelta(weeks=weeks)
    found = [
        row
        for row in steps_of_batches(batches, on, nursery)
        if row.lots and row.state in ("due", "overdue", "coming")
        if row.window.first <= until and row.window.last >= on - FORGOTTEN_AFTER
    ]
    return sorted(found, key=lambda row: (row.window.last, row.window.first, row.batch.code))


def steps_of_batches(batches, on: date, nursery: Nursery) -> list[BatchStep]:
    """Return every step of some batches with its window and state.

    The state is done, skipped, coming, due, overdue; "passed" where no lot is left that it
    concerns, and "untimed" where a frost is not told in the settings.
    """
    batches = list(batches.select_related("plant", "method"))
    keys = [batch.pk for batch in batches]
    standing = _standing(keys)
    steps = _steps({batch.method_id for batch in batches})
    done = {(row.batch_id, row.step_id): row for row in _done(keys)}
    unrooted = set(unrooted_trays().values_list("pk", flat=True)) if keys else set()
    counted = _counted_on(keys)
    landmarks = landmarks_of(nursery)
    return [
        row
        for batch in batches
        for row in _rows(
            batch,
            steps[batch.method_id],
            standing[batch.pk],
            _Known(done, unrooted, counted.get(batch.pk), landmarks, on),
        )
    ]


@dataclass(frozen=True)
class _Known:
    done: dict
    unrooted: set[int]
    counted_on: date | None
    landmarks: dict
    on: date


def _rows(batch, steps, lots, known):
    ticked = {step.pk: known.done.get((batch.pk, step.pk)) for step in steps}
    days = {key: row.date for key, row in ticked.items() if row}
    days |= _days_by_ledger(batch, steps, lots, known)
    times = windows(steps, batch.started_on, known.landmarks, days)
    for step in steps:
        row = BatchStep(batch, step, times[step.pk], done=ticked[step.pk])
        row.lots = [lot for lot in lots if _concerns(step, lot, known.unrooted)]
        row.done_on = days.get(step.pk)
        row.state = _state(row, known.on)
        yield row


def _state(row, on):
    if row.done:
        return row.done.kind
    if row.done_on:
        return "done"
    if row.window is None:
        return "untimed"
    state = row.window.state(on)
    return state if row.lots or state == "coming" else "passed"


def _days_by_ledger(batch, steps, lots, known):
    """Return {step: the day} of what the ledger itself shows to be done."""
    in_trays = any(_is_tray(lot) for lot in lots)
    potted = [lot.transplanted_on for lot in lots if lot.transplanted_on]
    is_counted = known.counted_on and not any(lot.pk in known.unrooted for lot in lots)
    days = {
        Work.STICK: batch.started_on,
        Work.ROOT_COUNT: known.counted_on if is_counted else None,
        Work.POT_UP: max(potted) if potted and not in_trays else None,
    }
    return {step.pk: days[step.work] for step in steps if days.get(step.work)}


def _concerns(step, lot, unrooted):
    match step.work:
        case Work.STICK:
            return False
        case Work.ROOT_COUNT:
            return lot.pk in unrooted
        case Work.HEAT_OFF:
            return _is_tray(lot) and (lot.balance.place is None or lot.balance.place.heated)
        case Work.HEAT_ON | Work.POT_UP:
            return _is_tray(lot)
        case Work.TOP_DRESS:
            return lot.container.for_sale
        case Work.READY:
            return lot.container.for_sale and lot.ready_on is None
    return True


def _is_tray(lot):
    return not lot.container.for_sale


def _standing(batches: Collection[int]) -> dict[int, list[Lot]]:
    """Return {batch: its lots that hold plants}, however often they were moved or potted."""
    pairs = []
    for part in parts(batches):
        with connection.cursor() as cursor:
            cursor.execute(LOTS_OF_BATCHES.format(batches=marks(part)), part)
            pairs += cursor.fetchall()
    rows = Lot.objects.select_related("plant", "container", "balance__place")
    lots = {}
    for part in parts({lot for _, lot in pairs}):
        lots |= rows.in_bulk(part)
    found = defaultdict(list)
    for batch, lot in pairs:
        found[batch].append(lots[lot])
    for there in found.values():
        there.sort(key=lambda lot: lot.code)
    return found


def _steps(methods: Iterable[int]) -> dict[int, list[MethodStep]]:
    found = defaultdict(list)
    rows = MethodStep.objects.filter(method__in=methods, is_removed=False)
    for step in rows.select_related("method").order_by("position"):
        found[step.method_id].append(step)
    return found


def _done(batches):
    return [row for part in parts(batches) for row in done_of(part)]


def _counted_on(batches) -> dict[int, date]:
    """Return {batch: the day on which its rooted plants were last counted}."""
    counts = in_force(Count.objects.filter(operation__kind=Operation.Kind.ROOT_COUNT))
    found = {}
    for part in parts(batches):
        begun = counts.filter(lot__movements_in__batch__in=part)
        rows = begun.values_list("lot__movements_in__batch").annotate(day=Max("date"))
        found |= {batch: day for batch, day in rows if batch}
    return found


def _day(month, day):
    return (month, day) if month and day else None
