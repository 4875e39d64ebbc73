"""The ledger's lines that concern some lots, as `inventory.costing.batch_account` reads them."""

from collections.abc import Collection

from django.db import connection

from inventory.costing.batch_account import COST, MOVE, WORK, Row
from inventory.costing.categories import OWN_TIME
from inventory.queries.ledger_rows import CARRIED_COLUMNS, UNDONE, marks, parts
from inventory.queries.occupancy import Ordinals
from inventory.queries.work import WORKED_LOT

MOVEMENT = f"""
SELECT m.date, m.operation_id, m.id, m.kind, m.from_lot_id, m.to_lot_id, m.quantity, m.of_id,
       m.batch_id, {CARRIED_COLUMNS}
FROM inventory_movement m JOIN inventory_carried c ON c.movement_id = m.id
"""
MOVEMENTS = f"""
{MOVEMENT} WHERE m.from_lot_id IN ({{lots}})
UNION
{MOVEMENT} WHERE m.to_lot_id IN ({{lots}})
"""
COSTS = f"""
SELECT e.date, e.operation_id, e.id, e.category, e.lot_id, e.amount
FROM inventory_costentry e
WHERE e.lot_id IN ({{lots}}) AND e.operation_id NOT IN ({UNDONE})
"""
OWN_WORK = f"""
SELECT o.date, w.operation_id, w.id, {WORKED_LOT}, w.minutes
FROM inventory_workentry w
JOIN inventory_operation o ON o.id = w.operation_id
WHERE w.category = '{OWN_TIME}' AND w.operation_id IN (
    SELECT operation_id FROM inventory_movement WHERE to_lot_id IN ({{lots}})
    UNION ALL
    SELECT operation_id FROM inventory_costentry WHERE lot_id IN ({{lots}})
) AND w.operation_id NOT IN ({UNDONE})
"""


def rows_of_lots(lots: Collection[int]) -> list[Row]:
    """Return all lines in force of some lots, in the ledger's order."""
    ordinal = Ordinals()
    found = {_movement(row, ordinal) for row in _query(MOVEMENTS, lots, times=2)}
    found |= {
        Row(ordinal[day], operation, COST, key, category, lot, None, amount)
        for day, operation, key, category, lot, amount in _query(COSTS, lots)
    }
    found |= {
        Row(ordinal[day], operation, WORK, key, "", lot, None, minutes)
        for day, operation, key, lot, minutes in _query(OWN_WORK, lots, times=2)
        if lot in lots
    }
    return sorted(found, key=lambda row: row[:4])


def _movement(row, ordinal) -> Row:
    day, operation, key, kind, source, target, quantity, of, batch, *costs = row
    return Row(
        ordinal[day],
        operation,
        MOVE,
        key,
        kind,
        source,
        target,
        quantity,
        of,
        batch,
        tuple(costs),
    )


def _query(statement, lots, times=1):
    for part in parts(lots):
        with connection.cursor() as cursor:
            cursor.execute(statement.format(lots=marks(part)), part * times)
            yield from cursor.fetchall()
