"""What the plants in stock have cost, added up by container."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.models import Container
from inventory.queries.lots import LotRow


@dataclass
class StockCost:
    """Plants in one container, and their cost."""

    container: Container
    lots: int = 0
    on_hand: int = 0
    cost: Decimal = Decimal(0)

    @property
    def unit_cost(self) -> Decimal | None:
        return self.cost / self.on_hand if self.on_hand else None


def cost_by_container(rows: Iterable[LotRow]) -> list[StockCost]:
    """Return plants and cost for each container that holds any, small ones first."""
    sums: dict[int, StockCost] = {}
    for row in rows:
        container = row.lot.container
        sum_ = sums.setdefault(container.pk, StockCost(container))
        sum_.lots += 1
        sum_.on_hand += row.on_hand
        sum_.cost += row.cost
    return sorted(sums.values(), key=lambda sum_: (sum_.container.position, sum_.container.code))
