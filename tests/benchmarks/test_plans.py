"""How the database finds what the daily statements ask for: never by reading a whole table."""

from datetime import timedelta
from uuid import uuid4

from django.db import connection, transaction

from inventory.models import LotBalance
from sales.models import Buyer, Document
from sales.operations import Item, sell
from sales.queries.availability import availability
from sales.queries.free_lots import with_lots
from sales.queries.stand import stand_plants
from sales.queries.trace import trace_document
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.filling import TODAY
from tests.benchmarks.opened import opened

# The tables that grow with the history, and what the statements call them for short.
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
    *("m", "c", "e", "U0", "U1"),
)


def test_a_sale_reads_no_table_from_end_to_end(ledger):
    with opened(ledger(SIZES[0])):
        item, buyer = wanted()
        assert not scanned(lambda: sell_one(item, buyer, TODAY))


def test_a_backdated_sale_reads_no_table_from_end_to_end(ledger):
    with opened(ledger(SIZES[0])):
        item, buyer = wanted()
        assert not scanned(lambda: sell_one(item, buyer, TODAY - timedelta(days=200)))


def test_the_availability_list_reads_no_table_from_end_to_end(ledger):
    with opened(ledger(SIZES[0])):
        assert not scanned(lambda: with_lots(availability(container="#1")))


def test_a_trace_reads_no_table_from_end_to_end(ledger):
    with opened(ledger(SIZES[0])):
        document = Document.objects.filter(kind="sale").last()
        assert not scanned(lambda: trace_document(document))


def test_the_stand_reads_of_old_sales_only_those_of_a_year(ledger):
    with opened(ledger(SIZES[0])):
        (step,) = scanned(lambda: stand_plants(on=TODAY))

    assert "sales_document_date" in step


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


def scanned(act) -> list[str]:
    """Return what the database says of each growing table it reads from end to end.

    Reading it from a date on, whatever the lot, counts as such.
    """
    ran = []

    def remember(execute, sql, parameters, many, context):
        ran.append((sql, list(parameters or ())[:1] if many else parameters, many))
        return execute(sql, parameters, many, context)

    with connection.execute_wrapper(remember):
        act()
    return [
        step
        for sql, parameters, many in ran
        if sql.lstrip().startswith(("SELECT", "INSERT", "UPDATE", "DELETE", "WITH"))
        for step in plan_of(sql, parameters[0] if many else parameters)
        if f"{step} ".startswith(tuple(f"SCAN {table} " for table in GROWING)) or "(date>" in step
    ]


def plan_of(sql, parameters):
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {sql}", parameters)
        return [row[3] for row in cursor.fetchall()]
