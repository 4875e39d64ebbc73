"""Which growing tables a database reads from end to end to answer what is asked."""

import re
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
    """Return what the database says of each growing table it reads from end to end.

    On SQLite, reading it from a date on, whatever the lot, counts as such.
    """
    return [step for _, plan in plans(act) for step in plan if reads_all(step)]


def reads_all(step: str) -> bool:
    """Say whether a step of a plan reads a growing table from end to end."""
    if connection.vendor == "postgresql":
        found = re.search(r"Seq Scan on (\w+)", step)
        return bool(found) and found[1] in GROWING and found[1] not in FEW_ROWS
    scans = tuple(f"SCAN {table} " for table in (*GROWING, *SHORT))
    return f"{step} ".startswith(scans) or "(date>" in step


def plans(act: Callable) -> list[tuple[str, list[str]]]:
    """Do something, and return each statement it asked with the steps of its plan."""
    ran = []

    def remember(execute, sql, parameters, many, context):
        ran.append((sql, list(parameters or ())[:1] if many else parameters, many))
        return execute(sql, parameters, many, context)

    with connection.execute_wrapper(remember):
        act()
    return [
        (sql, plan_of(sql, parameters[0] if many else parameters))
        for sql, parameters, many in ran
        if sql.lstrip().startswith(SAID)
    ]


def plan_of(sql, parameters):
    """Return the steps by which the database would answer a statement."""
    explain = "EXPLAIN QUERY PLAN" if connection.vendor == "sqlite" else "EXPLAIN"
    with connection.cursor() as cursor:
        cursor.execute(f"{explain} {sql}", parameters)
        return [row[3] if connection.vendor == "sqlite" else row[0] for row in cursor.fetchall()]
