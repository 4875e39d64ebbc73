"""The price sheet: one list, a row for what is for sale, beside what each has cost by now."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from inventory.costing.categories import CATEGORIES, cost_of
from inventory.models import Container, Lot, LotBalance, Plant
from inventory.names import search_key
from inventory.queries.holdings import holdings
from nursery.money import from_millionths, round_half_up
from sales.models import PriceList
from sales.pricing import margin_percent
from sales.queries.prices import PriceRow, prices_in_force

Key = tuple[int, int, str]


@dataclass(frozen=True)
class SheetRow:
    """A plant in a container, of one grade or of every: its prices, and what one costs now.

    `prices` are those of the sheet's list by the number they begin at, `stand` the stand's,
    which apply where the list has none. `unit_cost` is None where none is on hand.
    """

    plant: Plant
    container: Container
    grade: str
    on_hand: int = 0
    unit_cost: Decimal | None = None
    prices: dict[int, PriceRow] = field(default_factory=dict)
    stand: dict[int, PriceRow] = field(default_factory=dict)

    @property
    def key(self) -> Key:
        return self.plant.pk, self.container.pk, self.grade

    @property
    def has_price(self) -> bool:
        """Whether one plant has a price, be it the stand's."""
        return bool(self.prices.get(1) or self.stand.get(1))

    @property
    def lowest(self) -> Decimal | None:
        return min((price.amount for price in self.prices.values()), default=None)

    @property
    def is_below_cost(self) -> bool:
        return is_below(self.lowest, self.unit_cost)


@dataclass(frozen=True)
class Sheet:
    """The rows of one list on a day, and the numbers from which its prices hold."""

    list: str
    on: date
    rows: list[SheetRow]
    breaks: list[int]


@dataclass(frozen=True)
class PriceLine:
    """One price in force, for the report and the file."""

    list: str
    plant: Plant
    container: Container
    grade: str
    from_quantity: int
    price: Decimal
    since: date
    unit_cost: Decimal | None

    @property
    def margin_percent(self) -> Fraction | None:
        """The margin as a percent of the price; None without a cost, or for nothing."""
        return None if self.unit_cost is None else margin_percent(self.price, self.unit_cost)


def is_below(price: Decimal | None, cost: Decimal | None) -> bool:
    """Say whether a price is below what the plant has cost, where both are known."""
    return price is not None and cost is not None and price < cost


def price_sheet(
    *,
    on: date,
    on_list: str = PriceList.STAND,
    container: str = "",
    plant: str = "",
    also: Iterable[Key] = (),
    counted: tuple[str, ...] = CATEGORIES,
) -> Sheet:
    """Return a row for all that has a price or stands for sale, by container and plant.

    `also` names rows to show whatever became of them, as those of a sheet sent in. What a
    plant costs is that of the categories `counted`.
    """
    prices = _by_row(prices_in_force(on))
    costs = costs_by_grade(None, counted)
    keys = {(p, c, grade) for _, p, c, grade in prices} | set(costs) | set(also)
    keys |= {(p, c, "") for p, c, _ in keys}
    plants = Plant.objects.in_bulk({key[0] for key in keys})
    sizes = Container.objects.in_bulk({key[1] for key in keys})
    rows = [
        SheetRow(
            plants[p],
            sizes[c],
            grade,
            *costs.get((p, c, grade), (0, None)),
            prices.get((on_list, p, c, grade), {}),
            prices.get((PriceList.STAND, p, c, grade), {}),
        )
        for p, c, grade in keys
        if p in plants and c in sizes
    ]
    rows = [row for row in rows if _matches(row, container, plant)]
    rows.sort(key=lambda row: (row.container.position, row.plant.search_key, row.grade))
    breaks = sorted({1, *(least for row in rows for least in row.prices)})
    return Sheet(on_list, on, rows, breaks)


def price_lines(on: date | None = None, counted: tuple[str, ...] = CATEGORIES) -> list[PriceLine]:
    """Return each price in force, by list, container, plant, grade and number."""
    costs = costs_by_grade(on, counted)
    rows = prices_in_force(on)
    plants = Plant.objects.in_bulk({row.plant_id for row in rows})
    sizes = Container.objects.in_bulk({row.container_id for row in rows})
    lines = [
        PriceLine(
            row.list,
            plants[row.plant_id],
            sizes[row.container_id],
            row.grade,
            row.least,
            row.amount,
            row.valid_from,
            costs.get((row.plant_id, row.container_id, row.grade), (0, None))[1],
        )
        for row in rows
    ]
    order = PriceList.values
    return sorted(
        lines,
        key=lambda line: (
            order.index(line.list),
            line.container.position,
            line.plant.search_key,
            line.grade,
            line.from_quantity,
        ),
    )


def costs_by_grade(
    on: date | None = None, counted: tuple[str, ...] = CATEGORIES
) -> dict[Key, tuple[int, Decimal]]:
    """Return {(plant, container, grade): (on hand, cost of one)} of what stands for sale.

    At the end of that day, or now. A blank grade is all grades together.
    """
    sums: dict[Key, tuple[int, Decimal]] = defaultdict(lambda: (0, Decimal(0)))
    for plant, container, grade, plants, cost in (
        _held_on(on, counted) if on else _held_now(counted)
    ):
        for key in {(plant, container, ""), (plant, container, grade)}:
            sums[key] = sums[key][0] + plants, sums[key][1] + cost
    return {
        key: (plants, round_half_up(Fraction(cost) / plants, 6))
        for key, (plants, cost) in sums.items()
    }


def _held_now(counted):
    rows = (
        LotBalance.objects.filter(on_hand__gt=0, lot__container__kind="sale")
        .values_list("lot__plant", "lot__container", "lot__grade")
        .annotate(plants=Sum("on_hand"), **{f"sum_{c}": Sum(f"cost_{c}") for c in counted})
        .order_by()
    )
    return [(*row[:4], sum(row[4:])) for row in rows]


def _held_on(on, counted):
    held = holdings(on)
    lots = Lot.objects.filter(pk__in=held, container__kind="sale")
    return [
        (
            *(lot.plant_id, lot.container_id, lot.grade),
            held[lot.pk][0],
            from_millionths(cost_of(held[lot.pk], counted)),
        )
        for lot in lots
        if held[lot.pk][0]
    ]


def _by_row(prices):
    found: dict[tuple, dict[int, PriceRow]] = defaultdict(dict)
    for price in prices:
        found[price.list, price.plant_id, price.container_id, price.grade][price.least] = price
    return found


def _matches(row, container, plant):
    if container and row.container.code != container:
        return False
    wanted = search_key(plant)
    return (
        not plant
        or bool(wanted and wanted in row.plant.search_key)
        or plant.strip().casefold() in row.plant.common_name.casefold()
    )
