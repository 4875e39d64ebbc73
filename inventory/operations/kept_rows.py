"""Write what is kept beside the ledger: balances, carried costs, uncarried costs."""

from collections.abc import Iterable, Mapping
from datetime import date

from django.db import connection

from inventory.costing.categories import CATEGORIES
from inventory.models import Carried, UncarriedCost
from inventory.queries.ledger_rows import COST_COLUMNS

_VALUES = ", ".join(["%s"] * (2 + len(CATEGORIES)))
_TAKE_NEW = ", ".join(f"cost_{category} = excluded.cost_{category}" for category in CATEGORIES)
WRITE_CARRIED = f"""
INSERT INTO inventory_carried (movement_id, on_hand_after, {COST_COLUMNS})
VALUES ({_VALUES})
ON CONFLICT (movement_id) DO UPDATE
SET on_hand_after = excluded.on_hand_after, {_TAKE_NEW}
"""
WRITE_BALANCE = f"""
UPDATE inventory_lotbalance
SET on_hand = %s, {", ".join(f"cost_{c} = %s" for c in CATEGORIES)},
    last_on = CASE WHEN last_on > %s THEN last_on ELSE %s END
WHERE lot_id = %s
"""


def write_carried(rows: Iterable[tuple[int, int, list[int]]]) -> None:
    """Write (movement, on hand after, carried plants and costs) rows."""
    rows = [(key, after, *carried[1:]) for key, after, carried in rows]
    if rows:
        with connection.cursor() as cursor:
            cursor.executemany(WRITE_CARRIED, rows)


def write_balances(
    holdings: dict[int, list[int]], on: date, last_days: Mapping[int, date] | None = None
) -> None:
    """Write what each lot holds, plants and then costs, after a line of that day.

    `last_days` names the lots whose last line is of a later day.
    """
    days = last_days or {}
    rows = [(*held, day := days.get(lot, on), day, lot) for lot, held in holdings.items()]
    if rows:
        with connection.cursor() as cursor:
            cursor.executemany(WRITE_BALANCE, rows)


def write_uncarried(entries: dict[int, bool]) -> None:
    """Note which cost entries no plant carries."""
    if not entries:
        return
    UncarriedCost.objects.filter(
        pk__in=[entry for entry, uncarried in entries.items() if not uncarried]
    ).delete()
    UncarriedCost.objects.bulk_create(
        [UncarriedCost(entry_id=entry) for entry, uncarried in entries.items() if uncarried],
        ignore_conflicts=True,
    )


def forget(operation_id: int) -> None:
    """Drop what is kept of an operation that is being undone."""
    Carried.objects.filter(movement__operation_id=operation_id).delete()
    UncarriedCost.objects.filter(entry__operation_id=operation_id).delete()
