"""What a verb needs to know of the ledger before it writes."""

from dataclasses import dataclass
from datetime import date

from inventory.models import (
    Batch,
    Count,
    ExpectedLoss,
    Lot,
    LotBalance,
    Measurement,
    Movement,
    Operation,
    Place,
)
from inventory.queries.on_hand import (
    in_force,
    is_unused,
    measurement_on,
    on_hand_on,
    place_on,
    plants_in,
)

Stage = ExpectedLoss.Stage
UNROOTED = (Batch.Kind.STICK, Batch.Kind.SOW, Batch.Kind.DIVIDE)


@dataclass(frozen=True)
class StageSoFar:
    """How a lot has fared in its stage: plants started, and normal losses taken."""

    stage: str
    started: int
    lost: int


class Book:
    """The ledger as the database has it."""

    def lot(self, code: str) -> Lot | None:
        """Return the lot of that code, if there is one."""
        return Lot.objects.select_related("plant", "container").filter(code=code).first()

    def save_lot(self, lot: Lot) -> None:
        """Write a new lot, or the new meaning of a code that nothing uses."""
        lot.save()
        LotBalance.objects.get_or_create(lot=lot)

    def is_unused(self, lot: Lot) -> bool:
        """Say whether nothing in force has touched the lot."""
        return is_unused(lot)

    def has_begun(self, batch: Batch) -> bool:
        """Say whether plants in force began in the batch."""
        return in_force(batch.movements.all()).exists()

    def place(self, lot: Lot, on: date) -> Place | None:
        """Return where the lot stands at the end of that day."""
        return place_on(lot, on)

    def measurement(self, lot: Lot, on: date) -> Measurement | None:
        """Return the measurement that holds for the lot at the end of that day, if any."""
        return measurement_on(lot, on)

    def on_hand(self, lot: Lot, on: date) -> int:
        """Return the plants in the lot at the end of that day."""
        return on_hand_on(lot, on)

    def expected_percent(self, lot: Lot, stage: str):
        """Return the loss expected of the lot's plant in that stage, or None."""
        percents = expected_percents()
        return percents.get((lot.plant_id, stage), percents.get((None, stage)))

    def stage_so_far(self, lot: Lot, on: date) -> StageSoFar:
        """Return how the lot has fared in the stage it is in at the end of that day."""
        count = self._rooted_count(lot, on)
        rows = in_force(Movement.objects.filter(date__lte=on))
        if count:
            rows = rows.filter(operation_id__gt=count.operation_id)
        lost = rows.filter(from_lot=lot, kind=Movement.Kind.LOST)
        return StageSoFar(
            stage_of(lot, rooted=bool(count) or not self._began_unrooted(lot)),
            (count.found if count else 0) + plants_in(rows.filter(to_lot=lot)),
            plants_in(lost),
        )

    def _rooted_count(self, lot, on):
        counts = in_force(Count.objects.filter(lot=lot, date__lte=on))
        rooted = counts.filter(operation__kind=Operation.Kind.ROOT_COUNT)
        return rooted.order_by("date", "operation_id").last()

    def _began_unrooted(self, lot):
        begun = in_force(Movement.objects.filter(to_lot=lot, batch__kind__in=UNROOTED))
        return begun.exists()


BOOK = Book()


def stage_of(lot: Lot, *, rooted: bool) -> str:
    """Return the stage of a lot: rooting, liner or growing."""
    if lot.container.for_sale:
        return Stage.GROWING
    return Stage.LINER if rooted else Stage.ROOTING


def expected_percents() -> dict:
    """Return the expected losses as {(plant id or None, stage): percent}."""
    rows = ExpectedLoss.objects.values_list("plant_id", "stage", "percent")
    return {(plant, stage): percent for plant, stage, percent in rows}
