"""The ledger's lines in order, as plain tuples for `inventory.costing.replay`.

Written in SQL because a replay reads every line there is.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence

from django.db import connection

from inventory.costing.categories import CATEGORIES

COST_COLUMNS = ", ".join(f"cost_{category}" for category in CATEGORIES)
CARRIED_COLUMNS = ", ".join(f"c.cost_{category}" for category in CATEGORIES)
NO_COLUMNS = ", ".join("0" for _ in CATEGORIES)


def carried_cost(counted: Sequence[str]) -> str:
    """Return the sum, in SQL, of what a movement carried in the categories counted."""
    return " + ".join(f"c.cost_{category}" for category in counted)


UNDONE = """
    SELECT reverses_id FROM inventory_operation WHERE reverses_id IS NOT NULL
    UNION ALL
    SELECT id FROM inventory_operation WHERE reverses_id IS NOT NULL
"""

ALL_ROWS = f"""
SELECT date, operation_id, 0, id, kind, from_lot_id, to_lot_id, quantity, of_id
FROM inventory_movement WHERE operation_id NOT IN ({UNDONE})
UNION ALL
SELECT date, operation_id, 1, id, category, lot_id, NULL, amount, NULL
FROM inventory_costentry WHERE operation_id NOT IN ({UNDONE})
ORDER BY 1, 2, 3, 4
"""

HOLDINGS = f"""
SELECT lot_id, last_on, on_hand, {COST_COLUMNS}
FROM inventory_lotbalance WHERE lot_id IN ({{lots}})
"""

REACHED = """
WITH RECURSIVE reached (lot_id) AS (
    SELECT id FROM inventory_lot WHERE id IN ({lots})
    UNION
    SELECT m.to_lot_id FROM reached
    JOIN inventory_movement m ON m.from_lot_id = reached.lot_id
    WHERE m.date >= %s AND m.kind = 'moved'
)
"""

# The lines are found lot by lot and then looked up: one condition on either end of a
# movement would make the database read all later movements of all lots.
LATER_ROWS = f"""
, later (id) AS (
    SELECT m.id FROM reached
    JOIN inventory_movement m ON m.from_lot_id = reached.lot_id WHERE m.date >= %s
    UNION
    SELECT m.id FROM reached
    JOIN inventory_movement m ON m.to_lot_id = reached.lot_id WHERE m.date >= %s
)
SELECT m.date, m.operation_id, 0, m.id, m.kind, m.from_lot_id, m.to_lot_id,
       m.quantity, m.of_id, c.on_hand_after, {CARRIED_COLUMNS}
FROM later JOIN inventory_movement m ON m.id = later.id
JOIN inventory_carried c ON c.movement_id = m.id
WHERE m.date > %s OR m.operation_id >= %s
UNION ALL
SELECT e.date, e.operation_id, 1, e.id, e.category, e.lot_id, NULL, e.amount, NULL,
       CASE WHEN u.entry_id IS NULL THEN 0 ELSE 1 END, {NO_COLUMNS}
FROM inventory_costentry e LEFT JOIN inventory_uncarriedcost u ON u.entry_id = e.id
WHERE e.lot_id IN (SELECT lot_id FROM reached)
  AND e.operation_id NOT IN ({UNDONE})
  AND e.date >= %s AND (e.date > %s OR e.operation_id >= %s)
ORDER BY 1, 2, 3, 4
"""


def all_rows(chunk: int = 10_000) -> Iterator[tuple]:
    """Yield every line in force, in ledger order, without holding them all."""
    with connection.chunked_cursor() as cursor:
        cursor.execute(ALL_ROWS)
        while rows := cursor.fetchmany(chunk):
            yield from rows


def kept_holdings(lots: Iterable[int]) -> tuple[dict[int, list[int]], list[str]]:
    """Return {lot: plants and costs} as kept, and the lots' last dates in ISO form."""
    holdings, last_on = {}, []
    with connection.cursor() as cursor:
        for part in parts(lots):
            cursor.execute(HOLDINGS.format(lots=marks(part)), part)
            for lot, last, *held in cursor.fetchall():
                holdings[lot] = held
                last_on.append(str(last or ""))
    return holdings, last_on


def reached_lots(lots: Iterable[int], since) -> set[int]:
    """Return `lots` and all that received their plants on or after `since`."""
    with connection.cursor() as cursor:
        cursor.execute(f"{_reached(lots)} SELECT lot_id FROM reached", [*lots, since])
        return {lot for (lot,) in cursor.fetchall()}


def later_rows(lots: Iterable[int], since, operation: int) -> list[tuple]:
    """Return the lines in force from (since, operation) on that touch the lots
    reached from `lots`, each followed by what is kept of it."""
    point, days = [since, operation], [since, since, since]
    with connection.cursor() as cursor:
        cursor.execute(_reached(lots) + LATER_ROWS, [*lots, *days, *point, since, *point])
        return cursor.fetchall()


def given_back_movements() -> set[int]:
    """Return the movements that a return or a discard gives back."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT DISTINCT of_id FROM inventory_movement WHERE of_id IS NOT NULL")
        return {movement for (movement,) in cursor.fetchall()}


def left_to_give_back(movement: int, *, but_not: set[int]) -> list[int]:
    """Return what is left of a movement after its returns: plants, then costs.

    The returns among `but_not` count as not yet made.
    """
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT m.quantity, {CARRIED_COLUMNS} FROM inventory_movement m "
            "JOIN inventory_carried c ON c.movement_id = m.id WHERE m.id = %s",
            [movement],
        )
        left = list(cursor.fetchone())
        cursor.execute(
            f"SELECT m.id, m.quantity, {CARRIED_COLUMNS} FROM inventory_movement m "
            "JOIN inventory_carried c ON c.movement_id = m.id WHERE m.of_id = %s",
            [movement],
        )
        for key, *carried in cursor.fetchall():
            if key not in but_not:
                left = [a - b for a, b in zip(left, carried, strict=True)]
    return left


def parts(keys: Iterable[int], size: int = 10_000) -> list[list[int]]:
    """Cut keys into lists that a database takes as parameters, three times over.

    SQLite takes 32,766 since its version 3.32 of 2020, PostgreSQL 65,535.
    """
    keys = sorted(keys)
    return [keys[start : start + size] for start in range(0, len(keys), size)]


def marks(keys: Collection[int]) -> str:
    """Return the parameter marks for some keys; for none, what no row is in."""
    return ", ".join(["%s"] * len(keys)) or "NULL"


def _reached(lots):
    return REACHED.format(lots=marks(lots))
