"""Which growing tables a database reads from end to end to answer what is asked."""

from collections.abc import Callable
from uuid import uuid4

from django.db import connection, transaction

from inventory.models import LotBalance
from sales.models import Buyer
from sales.operations import Item, sell

# The tables that grow with the history.
GROWING = (
    "inventory_operation",
    "inventory_movement",
    "inventory_carried",
    "inventory_costentry",
    "inventory_lot",
    "inventory_lotbalance",
    "inventory_batch",
    "sales_document",
    "sales_documentline",
    "sales_documenttax",
    "sales_take",
    "sales_payment",
)
# So few rows that PostgreSQL rightly reads them whole: a hundredth of the movements.
FEW_ROWS = ("inventory_lot", "inventory_lotbalance", "inventory_batch")
# What statements call them for short; SQLite names them so in its plans.
SHORT = ("m", "c", "e", "U0", "U1")
SAID = ("SELECT", "INSERT", "UPDATE", "DELETE", "WITH")


def wanted():
    """Return a plant that can be had, and somebody to buy it."""
    standing = LotBalance.objects.filter(on_hand__gt=300, lot__container__kind="sale")
    lot = standing.first().lot
    return Item(lot.plant, lot.container, 1), Buyer.objects.first()


def sell_one(item, buyer, on):
    """Sell, and take it back as if nothing had been."""
    with transaction.atomic():
        sell(items=[item], on=on, buyer=buyer, paid_by="cash", request_id=uuid4())
        transaction.set_rollback(True)


def scanned(act: Callable) -> list[str]:
    """Return what SQLite says of each growing table it reads from end to end.

    Reading it from a date on, whatever the lot, counts as such.
    """
    return [step for one in asked(act) for step in _plan(*one) if _reads_all(step)]


def asked(act: Callable) -> list[tuple[str, list]]:
    """Do something, and return each statement it asked with its parameters, or the first ones."""
    ran = []

    def remember(execute, sql, parameters, many, context):
        ran.append((sql, next(iter(parameters), ()) if many else parameters))
        return execute(sql, parameters, many, context)

    with connection.execute_wrapper(remember):
        act()
    return [(sql, parameters) for sql, parameters in ran if sql.lstrip().startswith(SAID)]


def _reads_all(step):
    scans = tuple(f"SCAN {table} " for table in (*GROWING, *SHORT))
    return f"{step} ".startswith(scans) or "(date>" in step


def _plan(sql, parameters):
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {sql}", parameters)
        return [row[3] for row in cursor.fetchall()]
