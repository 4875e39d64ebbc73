"""How long one sale takes: against a bare transaction of the same rows, and as history grows."""

import shutil
import sqlite3
from contextlib import closing
from uuid import uuid4

import pytest

from inventory.models import LotBalance
from nursery.homes.address import SQLITE_OPTIONS
from sales.models import Buyer
from sales.operations import Item, sell
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.filling import TODAY
from tests.benchmarks.measuring import median, note, timed
from tests.benchmarks.opened import opened

ROUNDS, EACH = 8, 40
TABLES = (
    "inventory_operation",
    "inventory_movement",
    "inventory_carried",
    "sales_document",
    "sales_documentline",
    "sales_documenttax",
    "sales_take",
    "sales_payment",
)
BALANCE = "inventory_lotbalance"


@pytest.fixture
def copies(ledger, tmp_path):
    """Return {size: path} of ledgers that may be sold from."""
    return {size: shutil.copy(ledger(size), tmp_path / f"{size}.sqlite3") for size in SIZES}


def test_one_sale_end_to_end(copies):
    sales, bare = ({size: [] for size in SIZES} for _ in range(2))
    # In turns, so that whatever else the machine does falls on all alike.
    for _ in range(ROUNDS):
        for size, path in copies.items():
            with opened(path):
                sales[size] += sell_many()
            bare[size] += write_many(path)

    for size in SIZES:
        note(f"one sale with {size:,} movements", median(sales[size]))
        note("  bare transaction of the same rows", median(bare[size]))
        note("  ratio", median(sales[size]) / median(bare[size]), "10 or less")
    longest, shortest = SIZES[-1], SIZES[0]
    growth = median(sales[longest]) / median(sales[shortest])
    note(f"one sale, growth from {shortest:,} to {longest:,}", growth, "1.3 or less")


def sell_many():
    """Sell one plant at a time at the list price to a buyer who pays, lots chosen by age."""
    buyer = Buyer.objects.first()
    held = LotBalance.objects.filter(on_hand__gt=0, lot__container__kind="sale")
    lots = [row.lot for row in held.select_related("lot__plant", "lot__container")]

    def one(number):
        lot = lots[number % len(lots)]
        sell(
            items=[Item(lot.plant, lot.container, 1)],
            on=TODAY,
            buyer=buyer,
            paid_by="cash",
            request_id=uuid4(),
        )

    one(0)
    return [timed(lambda number=number: one(number)) for number in range(EACH)]


def write_many(path):
    """Write the rows of the last sale again and again, through SQLite alone."""
    with closing(sqlite3.connect(path, isolation_level=None)) as bare:
        bare.executescript(SQLITE_OPTIONS["init_command"])
        rows = {table: last_row(bare, table) for table in TABLES}
        lot = rows["inventory_movement"]["from_lot_id"]
        cursor = bare.execute(f"SELECT * FROM {BALANCE} WHERE lot_id = ?", [lot])
        names = [column[0] for column in cursor.description]
        balance = dict(zip(names, cursor.fetchone(), strict=True))

        def one():
            # The lot itself stays as it is, so that the ledger could be sold from again.
            bare.execute("BEGIN IMMEDIATE")
            for table, row in rows.items():
                insert(bare, table, row)
            update(bare, BALANCE, balance)
            bare.execute("COMMIT")

        times = []
        for _ in range(EACH + 1):
            make_new(rows)
            times.append(timed(one))
        return times[1:]


def last_row(bare, table):
    cursor = bare.execute(f"SELECT * FROM {table} ORDER BY rowid DESC LIMIT 1")
    return dict(zip([column[0] for column in cursor.description], cursor.fetchone(), strict=True))


def make_new(rows):
    """Give the rows of a sale keys, a number and requests that are not used yet."""
    for table in TABLES:
        if "id" in rows[table]:
            rows[table]["id"] += 1
    operation, movement, carried, document, line, tax, take, payment = rows.values()
    operation["request_id"], payment["request_id"] = uuid4().hex, uuid4().hex
    document["serial"] += 1
    document["number"] = f"{document['series']}-{document['serial']:04d}"
    movement["operation_id"] = operation["id"]
    carried["movement_id"] = take["movement_id"] = movement["id"]
    for row in (line, tax, payment):
        row["document_id"] = document["id"]
    take["line_id"] = line["id"]


def insert(bare, table, row):
    marks = ", ".join("?" * len(row))
    bare.execute(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})", list(row.values()))


def update(bare, table, row):
    new = ", ".join(f"{name} = ?" for name in row)
    bare.execute(f"UPDATE {table} SET {new} WHERE lot_id = ?", [*row.values(), row["lot_id"]])
