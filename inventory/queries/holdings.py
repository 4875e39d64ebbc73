"""What lots hold: plants and cost by category, now or at the end of a day."""

from datetime import date

from django.db import connection

from inventory.costing.categories import CATEGORIES
from inventory.queries.ledger_rows import COST_COLUMNS, UNDONE

SUMS = ", ".join(f"SUM(cost_{category})" for category in CATEGORIES)
CARRIED = ", ".join(f"c.cost_{category} AS cost_{category}" for category in CATEGORIES)
NEGATIVE = ", ".join(f"-c.cost_{category}" for category in CATEGORIES)
ENTRY = ", ".join(
    f"CASE WHEN e.category = '{category}' THEN e.amount ELSE 0 END" for category in CATEGORIES
)
NOW = f"SELECT lot_id, on_hand, {COST_COLUMNS} FROM inventory_lotbalance"
AT = f"""
SELECT lot_id, SUM(quantity), {SUMS} FROM (
    SELECT m.to_lot_id AS lot_id, m.quantity AS quantity, {CARRIED}
    FROM inventory_movement m JOIN inventory_carried c ON c.movement_id = m.id
    WHERE m.to_lot_id IS NOT NULL AND m.date <= %s
    UNION ALL
    SELECT m.from_lot_id, -m.quantity, {NEGATIVE}
    FROM inventory_movement m JOIN inventory_carried c ON c.movement_id = m.id
    WHERE m.from_lot_id IS NOT NULL AND m.date <= %s
    UNION ALL
    SELECT e.lot_id, 0, {ENTRY}
    FROM inventory_costentry e
    LEFT JOIN inventory_uncarriedcost u ON u.entry_id = e.id
    WHERE u.entry_id IS NULL AND e.date <= %s AND e.operation_id NOT IN ({UNDONE})
) AS lines GROUP BY lot_id
"""


def holdings(on: date | None = None) -> dict[int, list[int]]:
    """Return {lot: [plants, cost in each category in millionths]}."""
    with connection.cursor() as cursor:
        if on is None:
            cursor.execute(NOW)
        else:
            cursor.execute(AT, [on, on, on])
        return {lot: [int(n) for n in numbers] for lot, *numbers in cursor.fetchall()}
