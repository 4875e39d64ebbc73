"""What each target asks for: how many to stick, when, and what grows towards it already."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from inventory.models import Target
from inventory.planning.answer import Answer, Coming, Stock, Wanted, answer
from inventory.planning.ways import GROWING, Way, monday_of
from inventory.queries.chances import Chances, Learnt
from inventory.queries.stock_ahead import standing_by_plant
from inventory.queries.ways import Ways
from inventory.statistics.learning import Beta
from inventory.statistics.starting import MOST, mean_of


@dataclass(frozen=True)
class Plan:
    """A target with its answer, and what the answer rests on."""

    target: Target
    way: Way
    answer: Answer
    learnt: dict[str, Learnt]
    today: date
    origin: str

    @property
    def week(self) -> date:
        """The Monday of the week to stick in."""
        return monday_of(self.answer.stick_on)

    @property
    def is_met(self) -> bool:
        return not self.answer.missing

    @property
    def is_out_of_reach(self) -> bool:
        """Say whether so few come through that no number of cuttings gives the assurance."""
        return self.answer.to_stick >= MOST

    @property
    def is_to_stick(self) -> bool:
        """Say whether there is something to stick that helps."""
        return not (self.is_met or self.is_late or self.is_out_of_reach)

    @property
    def is_late(self) -> bool:
        """Say whether it is too late to stick."""
        return not self.is_met and self.answer.stick_on < self.today

    @property
    def can_buy(self) -> bool:
        """Say whether liners bought in could still make it."""
        return self.is_late and self.answer.pot_on >= self.today

    @property
    def next_ready(self) -> date:
        """The day by which plants stuck at the next right time will be ready."""
        return self.way.next_ready(self.target.ready_by, self.today)


def targets() -> QuerySet:
    """Return the targets that stand, the first wanted first."""
    return Target.objects.filter(is_removed=False).select_related("plant", "container")


class Planner:
    """Answers targets one after another; all share the plants that stand."""

    def __init__(self, today: date):
        self.today = today
        self.chances = Chances(today)
        self.ways = Ways(today)
        self.standing = standing_by_plant(self.chances)

    def plans(self, rows: Iterable[Target]) -> list[Plan]:
        """Return the plan of each target, in the order in which they take what stands."""
        stocks = {plant: Stock(standing) for plant, standing in self.standing.items()}
        nothing = Stock(())
        return [self._plan(row, stocks.get(row.plant_id, nothing)) for row in rows]

    def plan(self, target: Target, through: float | None = None) -> Plan:
        """Return the plan of one target; those wanted before it take first.

        `through` asks what would be if that share of the cuttings came through to be sold.
        """
        before = targets().filter(plant=target.plant_id)
        rows = [row for row in before if (row.ready_by, row.pk) < (target.ready_by, target.pk)]
        stock = Stock(self.standing.get(target.plant_id, ()))
        for row in rows:
            self._plan(row, stock)
        return self._plan(target, stock, through)

    def coming(self) -> Iterable[tuple[tuple[int, int], Coming]]:
        """Yield ((plant, container), plants on their way) of all that stands.

        Plants in a pot for sale are sold in it, those in trays in the pot they usually go into.
        """
        for plant, rows in self.standing.items():
            shares = self.chances.shares(plant)
            first = self.ways.first_pot(plant)
            for row in rows:
                container = row.container if row.stage == GROWING else first
                if container:
                    coming = row.ahead(self.ways.way(plant, container), shares, self.today)
                    yield (plant, container), coming

    def _plan(self, target, stock, through=None):
        way = self.ways.way(target.plant_id, target.container_id)
        wanted = Wanted(target.quantity, target.ready_by, target.assurance / 100)
        shares = self.chances.shares(target.plant_id)
        if through:
            shares = _as_if(shares, way, wanted, through)
        found = answer(wanted, way, shares, stock, self.today)
        learnt = {stage: self.chances.of(target.plant_id, stage) for stage in shares}
        origin = self.ways.origin(target.plant_id)
        return Plan(target, way, found, learnt, self.today, origin)


def _as_if(shares, way, wanted, through):
    """Return the shares, each harder or easier alike, so that all together are `through`."""
    from math import log

    chain = [shares[stretch.stage] for stretch in way.back_from(wanted.ready_by)]
    power = log(through) / sum(log(mean_of(share)) for share in chain)
    return {stage: Beta.thought(share.mean**power, share.weight) for stage, share in shares.items()}
