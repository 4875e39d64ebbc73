"""Minutes of work, and the lots they were for."""

from datetime import date

from django.db import connection

from inventory.queries.occupancy import Ordinals

# Work stands with an operation; its lot is the one that received plants or the cost.
WORKED_LOT = """COALESCE(
    (SELECT MIN(m.to_lot_id) FROM inventory_movement m
     WHERE m.operation_id = w.operation_id AND m.kind IN ('begun', 'moved')),
    (SELECT MIN(e.lot_id) FROM inventory_costentry e WHERE e.operation_id = w.operation_id)
)"""
# Neither what was undone nor its undoing counts.
MINUTES = f"""
SELECT lot, day, SUM(minutes) FROM (
    SELECT {WORKED_LOT} AS lot, o.date AS day, w.minutes AS minutes
    FROM inventory_workentry w
    JOIN inventory_operation o ON o.id = w.operation_id
    LEFT JOIN inventory_operation undoing ON undoing.reverses_id = o.id
    WHERE o.date BETWEEN %s AND %s AND o.reverses_id IS NULL AND undoing.id IS NULL
) AS worked WHERE lot IS NOT NULL GROUP BY lot, day
"""


def minutes_worked(first_day: date, last_day: date) -> list[tuple[int, int, int]]:
    """Return (lot, day as an ordinal, millionths of minutes worked for it) in a span of days."""
    ordinal = Ordinals()
    with connection.cursor() as cursor:
        cursor.execute(MINUTES, [first_day, last_day])
        return [(lot, ordinal[day], int(minutes)) for lot, day, minutes in cursor.fetchall()]
