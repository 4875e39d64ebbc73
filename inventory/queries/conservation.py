"""Every plant is somewhere, and so is every cost."""

from collections import Counter
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import connection

from inventory.costing.categories import CATEGORIES
from inventory.queries.borne_by_none import borne_by_none
from inventory.queries.holdings import holdings
from inventory.queries.ledger_rows import UNDONE
from nursery.money import from_millionths

SUMS = ", ".join(f"SUM(c.cost_{category})" for category in CATEGORIES)
MOVED = f"""
SELECT m.kind, SUM(m.quantity), {SUMS}
FROM inventory_movement m JOIN inventory_carried c ON c.movement_id = m.id
WHERE CAST(%s AS date) IS NULL OR m.date <= %s GROUP BY m.kind
"""
ENTERED = f"""
SELECT e.category, SUM(e.amount),
       SUM(CASE WHEN u.entry_id IS NULL THEN 0 ELSE e.amount END)
FROM inventory_costentry e LEFT JOIN inventory_uncarriedcost u ON u.entry_id = e.id
WHERE (CAST(%s AS date) IS NULL OR e.date <= %s) AND e.operation_id NOT IN ({UNDONE})
GROUP BY e.category
"""
NOTHING = [0] * (1 + len(CATEGORIES))
EXPENSED = ("lost", "lost_abnormal", "used", "given")


@dataclass(frozen=True)
class CostFlow:
    """Where the cost of one category, or of all, has gone."""

    category: str
    incurred: Decimal
    in_stock: Decimal
    cost_of_sales: Decimal
    expensed: Decimal

    @property
    def difference(self) -> Decimal:
        """Cost that is nowhere: nothing, where the ledger is right."""
        return self.incurred - self.in_stock - self.cost_of_sales - self.expensed


@dataclass(frozen=True)
class Conservation:
    """Where all plants and all costs are. Sold is net of returns, used counts gifts."""

    plants_begun: int
    plants_on_hand: int
    plants_sold: int
    plants_lost: int
    plants_used: int
    categories: list[CostFlow]
    total: CostFlow

    @property
    def plants_difference(self) -> int:
        return (
            self.plants_begun
            - self.plants_on_hand
            - self.plants_sold
            - self.plants_lost
            - self.plants_used
        )


def conservation(on: date | None = None) -> Conservation:
    """Return where every plant and every cost is, now or at the end of a day."""
    moved = {kind: [int(n) for n in numbers] for kind, *numbers in _query(MOVED, on)}
    entered = {category: amounts for category, *amounts in _query(ENTERED, on)}
    held = [sum(column) for column in zip(NOTHING, *holdings(on).values(), strict=True)]
    unborne: Counter[str] = Counter()
    for _, category, amount in borne_by_none(on=on):
        unborne[category] += amount

    def kinds(column, *names):
        return sum(moved.get(name, NOTHING)[column] for name in names)

    flows = []
    for column, category in enumerate(CATEGORIES, start=1):
        incurred, uncarried = (int(n) for n in entered.get(category, (0, 0)))
        sold = kinds(column, "sold") - kinds(column, "returned")
        expensed = kinds(column, *EXPENSED) + uncarried + unborne[category]
        flows.append((category, incurred + unborne[category], held[column], sold, expensed))
    return Conservation(
        plants_begun=kinds(0, "begun", "found"),
        plants_on_hand=held[0],
        plants_sold=kinds(0, "sold") - kinds(0, "returned"),
        plants_lost=kinds(0, "lost", "lost_abnormal"),
        plants_used=kinds(0, "used", "given"),
        categories=[_flow(*flow) for flow in flows],
        total=_flow("all", *(sum(column) for column in list(zip(*flows, strict=True))[1:])),
    )


def _flow(category, *millionths):
    return CostFlow(category, *map(from_millionths, millionths))


def _query(statement, on):
    with connection.cursor() as cursor:
        cursor.execute(statement, [on, on])
        return cursor.fetchall()
