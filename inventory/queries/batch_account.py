"""The account of a batch: what went in, what came out at each stage, what it earned."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from inventory.costing.batch_account import Account, Follower, Number, Stage
from inventory.costing.categories import CATEGORIES, PAID
from inventory.costing.occupancy import SQUARE_MILLIMETRES_IN_SQUARE_METRE
from inventory.models import Batch, Container, Lot, Movement
from inventory.queries.batch_rows import rows_of_lots
from inventory.queries.ledger_rows import parts
from inventory.queries.lineage import lots_ahead
from inventory.queries.occupancy import rooms_by_container
from inventory.queries.strikes import Strike, strikes
from inventory.takings import unit_prices
from nursery.money import MILLION

DAYS_OF_A_YEAR = 365
MINUTES_OF_AN_HOUR = 60


def _units(millionths: Number) -> Fraction:
    return Fraction(millionths) / MILLION


@dataclass(frozen=True)
class StageLine:
    """One container's part of the account; money in the currency unit."""

    container: Container
    stage: Stage

    @property
    def came(self) -> Number:
        return self.stage.came + self.stage.found

    @property
    def lost_normal(self) -> Number:
        return self.stage.lost_normal

    @property
    def lost_abnormal(self) -> Number:
        return self.stage.lost_abnormal

    @property
    def went_on(self) -> Number:
        return self.stage.went_on

    @property
    def sold(self) -> Number:
        return self.stage.sold

    @property
    def on_hand(self) -> Number:
        return self.stage.on_hand

    @property
    def cost_added(self) -> Fraction:
        return _units(self.stage.cost_added)

    @property
    def expensed(self) -> Fraction:
        return _units(self.stage.expensed)

    @property
    def sold_cost(self) -> Fraction:
        return _units(self.stage.sold_cost)

    @property
    def held_cost(self) -> Fraction:
        return _units(self.stage.held_cost)

    @property
    def carried_by_others(self) -> Fraction:
        return _units(self.stage.carried_by_others)

    @property
    def added(self) -> dict[str, Fraction]:
        return {category: _units(amount) for category, amount in self.stage.added.items()}


@dataclass(frozen=True)
class BatchAccount:
    """A batch's plants and money. Its numbers are exact, of blended lots its share."""

    batch: Batch
    lines: list[StageLine]
    account: Account
    paid: Account
    revenue: Fraction
    strike: Strike
    roomless: bool

    def plants(self, name: str) -> Number:
        """Return how many plants of the batch were sold, lost, ... in all stages."""
        return self.account.total(name)

    def money(self, name: str) -> Fraction:
        """Return an amount in all stages, in the currency unit."""
        return _units(self.account.total(name))

    @property
    def went_in(self) -> dict[str, Fraction]:
        """What went in by category."""
        return {category: _units(amount) for category, amount in self.account.added().items()}

    @property
    def cost_in(self) -> Fraction:
        return self.money("cost_added")

    @property
    def joined_by_blending(self) -> Fraction:
        return _units(self.account.joined_by_blending)

    @property
    def begun(self) -> int:
        return self.strike.stuck

    @property
    def first(self) -> StageLine | None:
        return self.lines[0] if self.lines else None

    @property
    def per_begun(self) -> Fraction | None:
        """What was spent in the first container, for each plant that began there."""
        return self.first.cost_added / self.begun if self.first and self.begun else None

    @property
    def per_rooted(self) -> Fraction | None:
        """The same for each that rooted, once all are counted: by division, not by percent."""
        is_counted = self.strike.rooted and self.strike.counted == self.begun
        if not (self.first and is_counted):
            return None
        return (self.first.cost_added - self.first.expensed) / self.strike.rooted

    @property
    def saleable(self) -> Number:
        """The plants in sale containers that were sold, or are here."""
        return sum(line.stage.sold + line.stage.on_hand for line in self._for_sale)

    @property
    def per_saleable(self) -> Fraction | None:
        """What a saleable plant cost, the ones lost as expected included."""
        cost = sum(line.stage.sold_cost + line.stage.held_cost for line in self._for_sale)
        return _units(cost) / self.saleable if self.saleable else None

    @property
    def _for_sale(self) -> list[StageLine]:
        return [line for line in self.lines if line.container.for_sale]

    @property
    def own_hours(self) -> Fraction:
        return _units(self.account.own_minutes) / MINUTES_OF_AN_HOUR

    @property
    def earnings(self) -> Fraction:
        """Revenue less all cost but the grower's own time, however the rest is shown."""
        return self.revenue - _units(self.paid.total("cost_added") + self.paid.joined_by_blending)

    @property
    def per_own_hour(self) -> Fraction | None:
        return self.earnings / self.own_hours if self.own_hours else None

    @property
    def square_metre_years(self) -> Fraction:
        used = Fraction(self.account.area_days, SQUARE_MILLIMETRES_IN_SQUARE_METRE)
        return used / DAYS_OF_A_YEAR

    @property
    def per_square_metre_year(self) -> Fraction | None:
        return self.earnings / self.square_metre_years if self.square_metre_years else None

    @property
    def points(self) -> list[tuple[date, Fraction]]:
        """The cost of one plant on each day that changed it, while any was here."""
        return [
            (date.fromordinal(day), _units(cost) / plants)
            for day, plants, cost in self.account.points
            if plants
        ]


def account_of(batch: Batch, counted: tuple[str, ...] = CATEGORIES) -> BatchAccount:
    """Return the account of a batch, with as many queries for many lots as for one.

    Its cost is that of the categories `counted`; what it earned is the same either way.
    """
    begun = Movement.objects.filter(batch=batch, carried__isnull=False)
    first = set(begun.values_list("to_lot", flat=True))
    containers = _containers_of(lots_ahead(first) if first else set())
    rooms = rooms_by_container()
    rows, today = rows_of_lots(containers.keys()), date.today().toordinal()
    account, paid = (
        Follower(batch.pk, containers, rooms, categories).follow(rows, today)
        for categories in (counted, PAID)
    )
    lines = _lines(account, {containers[lot] for lot in first})
    prices = unit_prices(account.sold_by_movement)
    revenue = sum(
        (number * Fraction(prices.get(key, 0)) for key, number in account.sold_by_movement.items()),
        Fraction(0),
    )
    roomless = any(rooms[line.container.pk] is None for line in lines)
    return BatchAccount(
        batch, lines, account, paid, revenue, strikes([batch.pk])[batch.pk], roomless
    )


def _containers_of(lots) -> dict[int, int]:
    found = {}
    for part in parts(lots):
        found |= dict(Lot.objects.filter(pk__in=part).values_list("pk", "container"))
    return found


def _lines(account: Account, first: set[int]) -> list[StageLine]:
    """Return the stages, those the batch began in first, then the smaller containers."""
    containers = Container.objects.in_bulk(account.stages)
    lines = [StageLine(containers[key], stage) for key, stage in account.stages.items()]
    return sorted(lines, key=lambda line: (line.container.pk not in first, line.container.position))
