"""Plants lost: when, where, why, and what became of their cost."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import connection

from inventory.costing.categories import CATEGORIES
from inventory.queries.ledger_rows import carried_cost
from nursery.money import from_millionths

LOSSES = """
SELECT operation.date, lot.code, plant.name, cause.code, cause.name,
       SUM(m.quantity), SUM(CASE WHEN m.kind = 'lost' THEN m.quantity ELSE 0 END),
       SUM({cost})
FROM inventory_movement m
JOIN inventory_carried c ON c.movement_id = m.id
JOIN inventory_operation operation ON operation.id = m.operation_id
JOIN inventory_lot lot ON lot.id = m.from_lot_id
JOIN inventory_plant plant ON plant.id = lot.plant_id
JOIN inventory_losscause cause ON cause.id = m.cause_id
WHERE m.kind IN ('lost', 'lost_abnormal')
  AND (CAST(%s AS date) IS NULL OR m.date >= %s)
  AND (CAST(%s AS date) IS NULL OR m.date <= %s)
GROUP BY operation.date, lot.code, plant.name, cause.code, cause.name
ORDER BY operation.date, lot.code, cause.code
"""


@dataclass(frozen=True)
class LossRow:
    """What one lot lost to one cause on one day.

    The survivors carry the cost of the normal part; `expensed` is the cost of
    the rest, and of all of it where no plant survived.
    """

    date: date
    lot: str
    plant: str
    cause: str
    cause_name: str
    quantity: int
    normal: int
    expensed: Decimal

    @property
    def abnormal(self) -> int:
        return self.quantity - self.normal


def losses(
    *, since: date | None = None, on: date | None = None, counted: tuple[str, ...] = CATEGORIES
) -> list[LossRow]:
    """Return the losses from `since` to the day `on`, both included, by date.

    Their cost is that of the categories `counted`.
    """
    with connection.cursor() as cursor:
        cursor.execute(LOSSES.format(cost=carried_cost(counted)), [since, since, on, on])
        return [
            LossRow(_day(day), *words, int(lost), int(normal), from_millionths(int(cost)))
            for day, *words, lost, normal, cost in cursor.fetchall()
        ]


def _day(value) -> date:
    """SQLite answers a date in plain SQL as text."""
    return value if isinstance(value, date) else date.fromisoformat(value)
