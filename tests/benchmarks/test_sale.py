"""How long one sale takes: against a bare transaction of the same rows, and as history grows."""

from uuid import uuid4

from inventory.models import LotBalance
from inventory.queries.ledger_rows import marks
from sales.models import Buyer
from sales.operations import Item, sell
from tests.benchmarks.bare import Bare, bare
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.filling import TODAY
from tests.benchmarks.measuring import median, note, timed
from tests.benchmarks.opened import opened

ROUNDS, EACH = 8, 40
# Each table that a sale adds a row to, and the column by which a later row names that row.
ROWS = {
    "inventory_operation": "operation_id",
    "inventory_movement": "movement_id",
    "inventory_carried": "",
    "sales_document": "document_id",
    "sales_documentline": "line_id",
    "sales_documenttax": "",
    "sales_take": "",
    "sales_payment": "",
}
BALANCE = "inventory_lotbalance"


def test_one_sale_end_to_end(copies):
    ledgers = copies(*SIZES)
    sales, rows = ({size: [] for size in SIZES} for _ in range(2))
    # In turns, so that whatever else the machine does falls on all alike.
    for _ in range(ROUNDS):
        for size, place in ledgers.items():
            with opened(place):
                sales[size] += sell_many()
            with bare(place) as link:
                rows[size] += write_many(link)

    for size in SIZES:
        note(f"one sale with {size:,} movements", median(sales[size]))
        note("  bare transaction of the same rows", median(rows[size]))
        note("  ratio", median(sales[size]) / median(rows[size]), "10 or less")
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


def write_many(link: Bare):
    """Write the rows of the last sale again and again, with keys of their own."""
    last = {table: last_row(link, table) for table in ROWS}
    lot = last["inventory_movement"]["from_lot_id"]
    (balance,) = link.ask(f"SELECT * FROM {BALANCE} WHERE lot_id = %s", [lot])
    new = ", ".join(f"{name} = %s" for name in link.columns(BALANCE))

    def one():
        link.begin()
        given: dict[str, int] = {}
        for table, names_it in ROWS.items():
            row = last[table] | {name: given[name] for name in given if name in last[table]}
            given[names_it] = insert(link, table, row)
        # The lot itself stays as it is, so that the ledger could be sold from again.
        link.ask(f"UPDATE {BALANCE} SET {new} WHERE lot_id = %s", [*balance, lot])
        link.commit()

    times = []
    for _ in range(EACH + 1):
        make_new(last)
        times.append(timed(one))
    return times[1:]


def last_row(link: Bare, table: str) -> dict:
    (row,) = link.ask(f"SELECT * FROM {table} ORDER BY {key_of(table)} DESC LIMIT 1")
    return dict(zip(link.columns(table), row, strict=True))


def make_new(rows: dict[str, dict]) -> None:
    """Give the rows of a sale a number and requests that are not used yet."""
    document = rows["sales_document"]
    document["serial"] += 1
    document["number"] = f"{document['series']}-{document['serial']:04d}"
    for table in ("inventory_operation", "sales_payment"):
        rows[table]["request_id"] = uuid4().hex


def insert(link: Bare, table: str, row: dict) -> int:
    """Write a row, under the next key where it has one of its own, and return its key."""
    own = {name: value for name, value in row.items() if name != "id"}
    names, key = ", ".join(own), key_of(table)
    statement = f"INSERT INTO {table} ({names}) VALUES ({marks(own)}) RETURNING {key}"
    ((new,),) = link.ask(statement, list(own.values()))
    return new


def key_of(table: str) -> str:
    return "movement_id" if table == "inventory_carried" else "id"
