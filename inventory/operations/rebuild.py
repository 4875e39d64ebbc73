"""Write all that is kept beside the ledger anew, from the ledger alone."""

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import islice

from django.db import connection

from inventory.costing.replay import EMPTY, Overdrawn, replay
from inventory.models import Carried, Lot, LotBalance, UncarriedCost
from inventory.operations.kept_rows import write_balances, write_carried, write_uncarried
from inventory.operations.posting import keep_places, keep_sizes, ledger_held, word_overdrawn
from inventory.queries.ledger_rows import all_rows, given_back_movements

CHUNK = 5_000
KEEP_LAST_DATES = """
UPDATE inventory_lotbalance SET last_on = (
    SELECT MAX(entry.last_on) FROM (
        SELECT MAX(date) AS last_on FROM inventory_movement
        WHERE from_lot_id = inventory_lotbalance.lot_id
        UNION ALL SELECT MAX(date) FROM inventory_movement
        WHERE to_lot_id = inventory_lotbalance.lot_id
        UNION ALL SELECT MAX(date) FROM inventory_costentry
        WHERE lot_id = inventory_lotbalance.lot_id
    ) AS entry
)
"""


def rebuild() -> None:
    """Replay the ledger from nothing and keep the result.

    Holds one lot list and one chunk of lines in memory. Raises NotEnoughPlants
    where the ledger takes plants that are not there.
    """
    with ledger_held():
        Carried.objects.all().delete()
        UncarriedCost.objects.all().delete()
        keep_anew(Lot.objects.values_list("pk", flat=True))
        placed = LotBalance.objects.filter(lot__placements__isnull=False)
        keep_places(set(placed.values_list("pk", flat=True)))
        measured = LotBalance.objects.filter(lot__measurements__isnull=False)
        keep_sizes(set(measured.values_list("pk", flat=True)))


def keep_anew(lots: Iterable[int]) -> None:
    """Replay the ledger from nothing and write the figures of these lots, which are all."""
    held = dict.fromkeys(lots, EMPTY)
    try:
        _keep(replay(all_rows(), held, watched=given_back_movements()))
    except Overdrawn as error:
        raise word_overdrawn(error) from error
    write_balances(held, date.min)
    with connection.cursor() as cursor:
        cursor.execute(KEEP_LAST_DATES)


def _keep(results: Iterator) -> None:
    while chunk := list(islice(results, CHUNK)):
        write_carried((key, after, carried) for key, carried, after in chunk if carried is not None)
        write_uncarried({key: True for key, carried, after in chunk if carried is None and after})
