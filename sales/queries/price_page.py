"""The price list beside what each plant costs by now."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from inventory.costing.categories import CATEGORIES
from inventory.models import Container, LotBalance, Plant
from inventory.names import search_key
from nursery.money import round_half_up
from sales.models import Price
from sales.pricing import margin_percent


@dataclass(frozen=True)
class PriceRow:
    """A plant in a container: its price, since when, and what one costs now."""

    plant: Plant
    container: Container
    on_hand: int
    price: Price | None
    unit_cost: Decimal | None

    @property
    def key(self) -> str:
        return f"{self.plant.pk}-{self.container.pk}"

    @property
    def amount(self) -> Decimal | None:
        return self.price.amount if self.price else None

    @property
    def since(self) -> date | None:
        return self.price.valid_from if self.price else None

    @property
    def margin(self) -> Fraction | None:
        """The margin as a percent of the price; None without a price or a cost."""
        if not self.amount or self.unit_cost is None:
            return None
        return margin_percent(self.amount, self.unit_cost)

    @property
    def margin_shown(self) -> Decimal | None:
        return None if self.margin is None else round_half_up(self.margin, 6)

    @property
    def is_below_cost(self) -> bool:
        return (
            self.amount is not None and self.unit_cost is not None and self.amount < self.unit_cost
        )


def price_rows(
    *, on: date, container: str = "", plant: str = "", counted: tuple[str, ...] = CATEGORIES
) -> list[PriceRow]:
    """Return a row for all that has a price or stands for sale, by container and plant.

    What a plant costs is that of the categories `counted`.
    """
    prices = _prices(on)
    held = _held(container, counted)
    if container:
        prices = {key: row for key, row in prices.items() if row.container.code == container}
    keys = set(prices) | set(held)
    plants = Plant.objects.in_bulk({key[0] for key in keys})
    sizes = Container.objects.in_bulk({key[1] for key in keys})
    rows = [
        PriceRow(plants[p], sizes[c], *_plants_and_cost(held.get((p, c)), prices.get((p, c))))
        for p, c in keys
    ]
    if plant:
        rows = [row for row in rows if _matches(row.plant, plant)]
    return sorted(rows, key=lambda row: (row.container.position, row.plant.search_key))


def _prices(on):
    """Return {(plant, container): the price in force that day}; later rows overwrite."""
    rows = Price.objects.filter(valid_from__lte=on).order_by("valid_from", "pk")
    return {(row.plant_id, row.container_id): row for row in rows.select_related("container")}


def _held(container, counted):
    balances = LotBalance.objects.filter(on_hand__gt=0, lot__container__kind="sale")
    if container:
        balances = balances.filter(lot__container__code=container)
    rows = (
        balances.values_list("lot__plant", "lot__container")
        .annotate(plants=Sum("on_hand"), **{f"sum_{c}": Sum(f"cost_{c}") for c in counted})
        .order_by()
    )
    return {(p, c): (plants, sum(costs)) for p, c, plants, *costs in rows}


def _plants_and_cost(held, price):
    if held is None:
        return 0, price, None
    plants, cost = held
    return plants, price, round_half_up(Fraction(cost) / plants, 6)


def _matches(plant, search):
    wanted = search_key(search)
    return bool(wanted and wanted in plant.search_key) or (
        search.strip().casefold() in plant.common_name.casefold()
    )
