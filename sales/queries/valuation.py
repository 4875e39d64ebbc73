"""What the stock is worth by the method asked for, item by item.

An item is a plant in a container. Cost is the ledger's own; the other two rest on the day's
price of one plant of any grade on the stand list, and on costs the grower states. Which applies
is for an accountant to say.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.costing.categories import CATEGORIES, cost_of
from inventory.models import Container, Lot, Plant
from inventory.queries.holdings import holdings
from nursery.money import from_millionths, round_half_up
from sales.queries.prices import PriceBook

METHODS = {
    "cost": "At cost",
    "lower": "At cost, or lower",
    "farm": "At farm price",
}


@dataclass(frozen=True)
class Terms:
    """What it takes to sell: a percent of the price, and per plant to finish it first."""

    selling_percent: Decimal = Decimal(0)
    completion: Decimal = Decimal(0)
    completion_of: Mapping[tuple[int, int], Decimal] | None = None

    def to_complete(self, item: tuple[int, int]) -> Decimal:
        """Return what one plant of an item still costs until it can be sold."""
        return (self.completion_of or {}).get(item, self.completion)


@dataclass(frozen=True)
class Item:
    """The stock of one plant in one container, and what selling it would leave."""

    plant: Plant | None
    container: Container | None
    on_hand: int
    cost: Decimal
    price: Decimal | None
    selling_percent: Decimal = Decimal(0)
    completion: Decimal = Decimal(0)

    @property
    def realisable(self) -> Decimal | None:
        """The price less costs to complete and to sell, IAS 2 paragraph 6; none unpriced."""
        if self.price is None:
            return None
        return self._of_all(self._after_selling - Fraction(self.completion))

    @property
    def farm_price(self) -> Decimal | None:
        """The market price less the direct cost of disposition, 26 CFR 1.471-6(d)."""
        return None if self.price is None else self._of_all(self._after_selling)

    @property
    def lower(self) -> Decimal:
        """The lower of cost and net realisable value; cost where there is no price."""
        return self.cost if self.realisable is None else min(self.cost, self.realisable)

    @property
    def write_down(self) -> Decimal:
        return self.cost - self.lower

    def value(self, method: str) -> Decimal | None:
        """Return the value by one of METHODS; none where it cannot be told."""
        return {"cost": self.cost, "lower": self.lower, "farm": self.farm_price}[method]

    @property
    def _after_selling(self):
        return Fraction(self.price) * (1 - Fraction(self.selling_percent) / 100)

    def _of_all(self, each):
        return max(round_half_up(self.on_hand * each, 6), Decimal(0))


def items_in_stock(
    on: date | None, terms: Terms, counted: tuple[str, ...] = CATEGORIES
) -> list[Item]:
    """Return the items that held plants or cost, of the categories counted, that day's end."""
    prices = PriceBook(on)
    plants, containers = Plant.objects.in_bulk(), Container.objects.in_bulk()
    items = [
        Item(
            plants[key[0]],
            containers[key[1]],
            on_hand,
            from_millionths(cost),
            prices.amount(*key),
            terms.selling_percent,
            terms.to_complete(key),
        )
        for key, (on_hand, cost) in _held(on, counted).items()
        if on_hand or cost
    ]
    return sorted(
        items, key=lambda item: (item.plant.search_key, item.container.position, item.container.pk)
    )


def total_of(items: Iterable[Item], method: str) -> Decimal:
    """Return the value of all items that have one, each by itself."""
    return sum((item.value(method) or Decimal(0) for item in items), Decimal(0))


def _held(on, counted):
    sums: dict[tuple[int, int], tuple[int, int]] = {}
    lots = {pk: group for pk, *group in Lot.objects.values_list("pk", "plant_id", "container_id")}
    for lot, held in holdings(on).items():
        key = tuple(lots[lot])
        there, cost = sums.get(key, (0, 0))
        sums[key] = (there + held[0], cost + cost_of(held, counted))
    return sums
