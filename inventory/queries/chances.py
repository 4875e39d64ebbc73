"""What share of a plant comes through each stage, from the nursery's own record and before.

It begins with the loss that is expected of the plant, else of all plants, else with what is
common practice, and counts that as much as a tray of cuttings. What the record says of the
plant is added to it, plant by plant. How far one lot differs from another is learnt from all
lots together, because no two winters are alike.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.models import ExpectedLoss
from inventory.operations.book import expected_percents
from inventory.queries.loss_record import COMMON_PRACTICE, SURE_LOSS, Record, record_of_lots
from inventory.statistics.learning import Beta
from inventory.statistics.likeness import likeness, of_a_new_lot
from inventory.statistics.proportions import Tally

Stage = ExpectedLoss.Stage
# Common practice: lots differ by more than luck; it counts as much as a dozen lots compared.
ALIKE_BEFORE, COMPARED_BEFORE = 0.06, 12
# Common practice: plants that have had their losses may still lose a part of what is usual.
STILL_TO_LOSE = Decimal("0.25")


@dataclass(frozen=True)
class Learnt:
    """What is thought of one stage of one plant, and what that rests on."""

    share: Beta
    expected: Decimal
    is_own_number: bool
    started: int = 0
    lost: int = 0

    @property
    def percent_lost(self) -> float:
        return 100 * (1 - self.share.mean)

    @property
    def words(self) -> str:
        """Say whose numbers these are."""
        before = f"{self.expected.normalize():f}% " + (
            "you expect" if self.is_own_number else "as is common practice"
        )
        if not self.started:
            return before
        return f"your record, {self.lost} of {self.started} lost, and {before}"


class Chances:
    """The shares of all plants as the record stands on one day."""

    def __init__(self, on: date):
        self._percents = expected_percents()
        tallies = defaultdict(lambda: defaultdict(list))
        for plant, stage, started, lost in record_of_lots(on):
            tallies[stage][plant].append(Tally(started - lost, started))
        self._alike = {stage: _alike(tallies[stage].values()) for stage in Stage.values}
        self._sums = {
            (plant, stage): (sum(row.of for row in rows), sum(row.of - row.came for row in rows))
            for stage, by_plant in tallies.items()
            for plant, rows in by_plant.items()
        }
        self._known: dict[tuple[int, str], Learnt] = {}

    def of(self, plant: int, stage: str) -> Learnt:
        """Return what is thought of a stage of a plant."""
        key = (plant, stage)
        if key not in self._known:
            self._known[key] = self._learn(*key)
        return self._known[key]

    def shares(self, plant: int) -> dict[str, Beta]:
        """Return {stage: share that comes through} of a plant."""
        return {stage: self.of(plant, stage).share for stage in Stage.values}

    def rest_of(self, plant: int, stage: str, plants: int, started: int, lost: int) -> Beta:
        """Return the share of plants amid a stage that comes through the rest of it.

        Of what the stage loses of all that `started` what was `lost` is taken off, but a
        part of the usual loss may always come.
        """
        share = self.of(plant, stage).share
        usual = Decimal(1 - share.mean)
        still = max(started * usual - lost, plants * usual * STILL_TO_LOSE)
        mean = 1 - min(still / plants, SURE_LOSS / 100)
        return Beta.thought(float(mean), share.weight)

    def _learn(self, plant, stage):
        own = self._percents.get((plant, stage), self._percents.get((None, stage)))
        expected = COMMON_PRACTICE[stage] if own is None else own
        started, lost = self._sums.get((plant, stage), (0, 0))
        known = Record(started, lost).known(expected)
        share = of_a_new_lot(known, self._alike[stage])
        return Learnt(share, expected, own is not None, started, lost)


def _alike(groups):
    return likeness(groups).from_before(ALIKE_BEFORE, COMPARED_BEFORE)
