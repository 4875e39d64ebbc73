"""How many plants of growing lots will probably live to be sold."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from decimal import Decimal

from inventory.models import Count, ExpectedLoss, Lot, Movement, Operation
from inventory.operations.book import UNROOTED, expected_percents, stage_of
from inventory.queries.on_hand import in_force

Stage = ExpectedLoss.Stage
STAGES = (Stage.ROOTING, Stage.LINER, Stage.GROWING)


def expected_plants(lots: Collection[Lot], on_hand: Mapping[int, int]) -> dict[int, int]:
    """Return {lot: plants expected to live to be sold} of lots with their containers.

    What the lot's own stage may still lose is taken off, which is less where it has lost
    some already; then what the later stages lose. Where no loss is expected, all live.
    """
    percents = expected_percents() if lots else {}
    if not percents:
        return {lot.pk: on_hand[lot.pk] for lot in lots}
    stages = stages_so_far(lots)
    return {lot.pk: _surviving(lot, on_hand[lot.pk], stages[lot.pk], percents) for lot in lots}


def _surviving(lot, plants, so_far, percents):
    stage, started, lost = so_far
    shares = [
        percents.get((lot.plant_id, one), percents.get((None, one), Decimal(0))) / 100
        for one in STAGES[STAGES.index(stage) :]
    ]
    left = plants - max(Decimal(0), started * shares[0] - lost)
    for share in shares[1:]:
        left *= 1 - share
    return max(0, int(left))


def stages_so_far(lots: Collection[Lot]) -> dict[int, tuple[str, int, int]]:
    """Return {lot: (stage, plants started in it, expected losses taken in it)}."""
    counts = _rooted_counts(lots)
    started, lost = defaultdict(int), defaultdict(int)
    unrooted = set()
    moved = Movement.objects.filter(carried__isnull=False)
    arrived = moved.filter(to_lot__in=lots).values_list(
        "to_lot", "quantity", "operation", "batch__kind"
    )
    for lot, quantity, operation, kind in arrived:
        if operation > counts.get(lot, (0, 0))[0]:
            started[lot] += quantity
        if kind in UNROOTED:
            unrooted.add(lot)
    left = moved.filter(from_lot__in=lots, kind=Movement.Kind.LOST)
    for lot, quantity, operation in left.values_list("from_lot", "quantity", "operation"):
        if operation > counts.get(lot, (0, 0))[0]:
            lost[lot] += quantity
    return {
        lot.pk: (
            stage_of(lot, rooted=lot.pk in counts or lot.pk not in unrooted),
            started[lot.pk] + counts.get(lot.pk, (0, 0))[1],
            lost[lot.pk],
        )
        for lot in lots
    }


def _rooted_counts(lots):
    """Return {lot: (operation, plants found)} of the last rooted count of each."""
    rows = in_force(Count.objects.filter(lot__in=lots))
    rows = rows.filter(operation__kind=Operation.Kind.ROOT_COUNT).order_by("date", "operation")
    return {
        lot: (operation, found)
        for lot, operation, found in rows.values_list("lot", "operation", "found")
    }
