"""What sold when, and what that says of the next twelve months."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from inventory.costing.categories import CATEGORIES
from inventory.models import Container, Plant
from inventory.planning.forecast import month_after
from inventory.queries.ledger_rows import carried_cost
from nursery.money import MILLION
from sales.demand import LEAST_YEARS, critical_ratio, demand_ahead, enough, seasonal_indices
from sales.queries.availability import availability
from sales.queries.margin import KEYS, SIGN, SOLD, SUMS, sold_rows

MOST_YEARS = 5
# The middle eight of ten cases.
LOW, HIGH = 0.1, 0.9


@dataclass(frozen=True)
class Months:
    """Whole years of twelve months that end with the last whole month, the oldest first."""

    end: date
    years: int

    @classmethod
    def known(cls, on: date, first_sale: str | None) -> "Months":
        """Return the years gone by since the first sale, five at most."""
        end = on.replace(day=1)
        years = (_number(f"{end:%Y-%m}") - _number(first_sale)) // 12 if first_sale else 0
        return cls(end, min(years, MOST_YEARS))

    @property
    def first(self) -> int:
        """The number of the first month of them."""
        return _number(f"{self.end:%Y-%m}") - 12 * self.years

    def totals(self, sold: dict[str, int]) -> list[int]:
        """Return what sold in each year."""
        return [sum(year) for year in self.by_month(sold)]

    def by_month(self, sold: dict[str, int]) -> list[list[int]]:
        """Return what sold in each month of each year."""
        counts = {_number(month): number for month, number in sold.items()}
        return [
            [counts.get(self.first + 12 * year + month, 0) for month in range(12)]
            for year in range(self.years)
        ]

    @property
    def names(self) -> list[date]:
        """The first days of the twelve months to come."""
        return [month_after(self.end, month) for month in range(12)]


@dataclass(frozen=True)
class Sold:
    """Plants of one kind and container that sold, month by month, with what they brought."""

    plant: Plant
    container: Container
    by_month: dict[str, int]
    unit_price: Decimal
    unit_cost: Decimal


@dataclass(frozen=True)
class Wanted:
    """What sold of one plant in each year, what may sell, and how many to have for it.

    `expected`, `low`, `high` are for the next twelve months, the middle eight of ten cases;
    `enough` for the year `ahead`; all none where fewer than two years are known of it.
    """

    sold: Sold
    years: list[int]
    free: int
    expected: int | None = None
    low: int | None = None
    high: int | None = None
    enough: int | None = None

    @property
    def plant(self) -> Plant:
        return self.sold.plant

    @property
    def container(self) -> Container:
        return self.sold.container

    @property
    def to_begin(self) -> int | None:
        """What is to be begun besides what is free or grows."""
        return None if self.enough is None else max(self.enough - self.free, 0)


@dataclass(frozen=True)
class Demand:
    """Demand of all plants asked for: row by row, and by month together."""

    months: Months
    rows: list[Wanted]

    @property
    def is_known(self) -> bool:
        return self.months.years >= LEAST_YEARS

    @property
    def expected(self) -> int:
        return sum(row.expected or 0 for row in self.rows)

    @property
    def season(self) -> list[tuple[date, int, int]]:
        """Each month to come: what sold in it a year before, and what may sell of all rows."""
        years = self.months.by_month(_together(row.sold.by_month for row in self.rows))
        if not self.is_known or not any(sum(year) > 0 for year in years):
            return []
        indices = seasonal_indices(years)
        return [
            (name, before, round(self.expected * index / 1200))
            for name, before, index in zip(self.months.names, years[-1], indices, strict=True)
        ]


def demand(on: date, *, container: str = "", ahead: int = 2, left_over: int = 0) -> Demand:
    """Return what may sell of each plant, those with the most expected first.

    `ahead` is how many years a plant begun now takes until it sells, `left_over` what one that
    nobody takes still brings, in percent of its price.
    """
    found = [one for one in _sold(on) if container in ("", one.container.code)]
    first = min((month for one in found for month in one.by_month), default=None)
    months = Months.known(on, first)
    free = _free()
    rows = [
        _wanted(one, months, free[one.plant.pk, one.container.pk], ahead, left_over)
        for one in found
    ]
    rows.sort(key=lambda row: (-(row.expected or 0), -sum(row.years), row.plant.search_key))
    return Demand(months, rows)


def sold_lately(on: date) -> dict[tuple[int, int], int]:
    """Return {(plant, container): plants sold within the last year, net of returns}."""
    kind = "plant.id, container.id"
    since = on - timedelta(days=364)
    statement = f"SELECT {kind}, SUM({SIGN} * m.quantity) {SOLD} GROUP BY {kind}"
    return {(plant, size): int(n) for plant, size, n in sold_rows(statement, since, on)}


def _wanted(sold, months, free, ahead, left_over):
    years = months.totals(sold.by_month)
    known = years[next((n for n, number in enumerate(years) if number), len(years)) :]
    if len(known) < LEAST_YEARS:
        return Wanted(sold, years, free)
    price = float(sold.unit_price)
    ratio = critical_ratio(price, float(sold.unit_cost), price * left_over / 100)
    soon, later = demand_ahead(known), demand_ahead(known, ahead)
    return Wanted(
        sold,
        years,
        free,
        expected=enough(soon, 0.5),
        low=enough(soon, LOW),
        high=enough(soon, HIGH),
        enough=enough(later, ratio),
    )


def _sold(on) -> list[Sold]:
    kind = f"plant.id, container.id, {KEYS['month']}"
    sums = SUMS.format(cost=carried_cost(CATEGORIES))
    rows = sold_rows(f"SELECT {kind}, {sums} {SOLD} GROUP BY {kind}", None, on)
    kinds = defaultdict(list)
    for plant, container, *row in rows:
        kinds[plant, container].append(row)
    plants = Plant.objects.in_bulk({plant for plant, _ in kinds})
    containers = Container.objects.in_bulk({container for _, container in kinds})
    return [
        _one(plants[plant], containers[container], rows)
        for (plant, container), rows in kinds.items()
    ]


def _one(plant, container, rows):
    number, net, cost = (sum(int(row[n]) for row in rows) for n in (1, 2, 3))
    each = Decimal(MILLION * number) if number else Decimal(1)
    by_month = {row[0]: int(row[1]) for row in rows}
    return Sold(plant, container, by_month, Decimal(net) / each, Decimal(cost) / each)


def _free() -> dict[tuple[int, int], int]:
    found = defaultdict(int)
    for row in availability():
        found[row.plant.pk, row.container.pk] += row.available
    return found


def _together(many):
    sums = defaultdict(int)
    for months in many:
        for month, number in months.items():
            sums[month] += number
    return sums


def _number(month: str) -> int:
    year, _, number = month.partition("-")
    return int(year) * 12 + int(number) - 1
