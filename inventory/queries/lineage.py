"""Trace plants back to their batches and forward to where they went."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from django.db import connection

from inventory.costing.blending import Shares, follow_shares
from inventory.queries.ledger_rows import marks, parts

WALK = """
WITH RECURSIVE line (lot_id) AS (
    SELECT id FROM inventory_lot WHERE id IN ({lots})
    UNION
    SELECT m.{to}_lot_id FROM line
    JOIN inventory_movement m ON m.{origin}_lot_id = line.lot_id AND m.kind = 'moved'
    JOIN inventory_carried c ON c.movement_id = m.id
)
SELECT lot_id FROM line
"""
ROWS = """
SELECT m.id, m.from_lot_id,
       CASE WHEN m.kind = 'returned' AND EXISTS (
           SELECT 1 FROM inventory_movement discarded WHERE discarded.of_id = m.id
       ) THEN NULL ELSE m.to_lot_id END,
       m.batch_id, m.quantity, c.on_hand_after, m.of_id,
       m.date, m.operation_id
FROM inventory_movement m JOIN inventory_carried c ON c.movement_id = m.id
WHERE {which} AND (CAST(%s AS date) IS NULL OR m.date <= %s)
"""
MARKED, UNMARKED = -1, -2


def lots_behind(lots: Collection[int]) -> set[int]:
    """Return `lots` and every lot their plants ever passed through."""
    return _walk(lots, origin="to", to="from")


def lots_ahead(lots: Collection[int]) -> set[int]:
    """Return `lots` and every lot that received plants of them."""
    return _walk(lots, origin="from", to="to")


def shares_of_lots(lots: Collection[int], on: date | None = None) -> dict[int, Shares]:
    """Return each lot's batches with their shares, now or at the end of a day."""
    behind = lots_behind(lots)
    rows = _rows(behind, returned_sales(behind), on)
    final, _ = follow_shares(rows, returned_sales(behind))
    return {lot: final.get(lot, {}) for lot in lots}


def shares_of_movements(movements: Iterable[tuple[int, int]]) -> dict[int, Shares]:
    """Return the batches' shares in movements, given as (movement, from lot)."""
    movements = dict(movements)
    behind = lots_behind(set(movements.values()))
    remembered = set(movements) | returned_sales(behind)
    _, moved = follow_shares(_rows(behind, remembered, None), remembered)
    return {movement: moved.get(movement, {}) for movement in movements}


@dataclass(frozen=True)
class Touched:
    """The lots that hold, and the sales that took, plants which passed through a lot."""

    lots: set[int]
    movements: set[int]


def touched_by(lot: int, ahead: Collection[int]) -> Touched:
    """Return what plants of `lot` reached among the lots `ahead` of it."""
    sales = _sales_from(ahead)
    remembered = set(sales) | returned_sales(ahead)
    rows = _rows(ahead, remembered, None)
    lots, moved = follow_shares(_marked(rows, lot, ahead), remembered)
    return Touched(
        {reached for reached, shares in lots.items() if MARKED in shares},
        {sale for sale in sales if MARKED in moved.get(sale, {})},
    )


def _marked(rows, lot, ahead):
    """Mark plants entering `lot`, and those from elsewhere, as if batches began there."""
    for key, source, target, batch, *rest in rows:
        if target == lot:
            batch = MARKED
        elif batch is not None or (source is not None and source not in ahead):
            batch = UNMARKED
        yield key, source, target, batch, *rest


def _sales_from(lots):
    found = []
    for part in parts(lots):
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT m.id FROM inventory_movement m "
                "JOIN inventory_carried c ON c.movement_id = m.id "
                f"WHERE m.kind = 'sold' AND m.from_lot_id IN ({marks(part)})",
                part,
            )
            found += [movement for (movement,) in cursor.fetchall()]
    return found


def returned_sales(lots: Collection[int]) -> set[int]:
    """Return the sales from `lots` of which plants came back."""
    found = set()
    for part in parts(lots):
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT DISTINCT of_id FROM inventory_movement "
                f"WHERE of_id IS NOT NULL AND to_lot_id IN ({marks(part)})",
                part,
            )
            found |= {movement for (movement,) in cursor.fetchall()}
    return found


def _rows(lots, movements, on) -> Iterator[tuple]:
    """Return what flowed into `lots`, and `movements`, in ledger order.

    Plants that came back and were discarded at once never joined their lot.
    """
    rows = set()
    for column, keys in (("m.to_lot_id", lots), ("m.id", movements)):
        for part in parts(keys):
            statement = ROWS.format(which=f"{column} IN ({marks(part)})")
            with connection.cursor() as cursor:
                cursor.execute(statement, [*part, on, on])
                rows.update(cursor.fetchall())
    for row in sorted(rows, key=lambda row: (row[7], row[8], row[0])):
        yield row[:7]


def _walk(lots, **ends):
    found = set()
    for part in parts(lots):
        with connection.cursor() as cursor:
            cursor.execute(WALK.format(lots=marks(part), **ends), part)
            found |= {lot for (lot,) in cursor.fetchall()}
    return found
