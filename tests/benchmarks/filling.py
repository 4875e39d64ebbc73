"""Fill an empty ledger with an invented history, as quickly as the database takes it.

The facts go straight into the tables; what is kept beside them is then worked out
by `inventory.operations.rebuild`, and `inventory.queries.proof` can prove it.
"""

import sqlite3
from collections import defaultdict
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from uuid import uuid4

from django.db import connection

from inventory.models import Batch, Container, Lot, LotBalance, Nursery, Place, Plant
from inventory.names import search_key
from inventory.operations.rebuild import rebuild
from nursery.money import from_millionths
from sales.models import Buyer, Price, TaxRate
from sales.operations.open_sales import keep_all_open
from tests.benchmarks.history import (
    DAYS,
    LOTS_OF_A_BATCH,
    MOVEMENTS_OF_A_PAIR,
    THREE,
    TRAY,
    Entry,
    history,
    start_of,
)

TODAY = date(2026, 11, 25)
FIRST_DAY = TODAY - timedelta(days=DAYS)
PLANTS = 40
YEARS = 10
BUYERS = 25
PRICE = {"#1": 9_500_000, "#3": 24_000_000}
TAX_PERCENT = 6
CENT = 10_000
CHUNK = 20_000

COLUMNS = {
    "inventory_operation": "id, request_id, kind, date, note, reverses_id, entered_at",
    "inventory_movement": (
        "id, operation_id, date, kind, from_lot_id, to_lot_id, quantity, batch_id, cause_id, of_id"
    ),
    "inventory_costentry": "operation_id, date, lot_id, category, amount",
    "inventory_placement": "operation_id, date, lot_id, place_id",
    "inventory_count": "operation_id, date, lot_id, found",
    "sales_document": (
        "id, number, series, serial, kind, date, due_on, buyer_id, corrects_id, tax_basis, "
        "prices_include_tax, net, tax, note, buyer_name, issued_by, issued_to"
    ),
    "sales_documenttax": ("document_id, category, percent, name, reason, base, amount, made_of"),
    "sales_documentline": (
        "id, document_id, plant_id, container_id, quantity, unit_price, price_reason, net, "
        "tax_category, tax_percent, printed"
    ),
    "sales_take": "line_id, movement_id, net",
    "sales_payment": "document_id, date, method, amount, note, request_id",
}


def fill(path: Path, movements: int) -> None:
    """Fill the empty ledger at `path`, which Django has open, with so many movements."""
    pairs = movements // MOVEMENTS_OF_A_PAIR
    _write_nouns(pairs)
    connection.close()
    with closing(sqlite3.connect(path)) as bare:
        bare.execute("PRAGMA synchronous=OFF")
        _write_facts(bare, pairs)
    rebuild()
    keep_all_open()


def _write_facts(bare, pairs):
    sizes = dict(bare.execute("SELECT code, id FROM inventory_container"))
    facts = Facts(bare, sizes)
    waiting: list[Entry] = []
    for entry in history(pairs):
        if waiting and (entry.kind != "sale" or entry.day != waiting[0].day or len(waiting) == 2):
            facts.sell(waiting)
            waiting = []
        if entry.kind == "sale":
            waiting.append(entry)
        else:
            facts.write(entry)
    if waiting:
        facts.sell(waiting)
    facts.flush()
    bare.commit()


def size_of(lot: int) -> str:
    """Return the container of a lot, by its number."""
    kind = (lot - 1) % LOTS_OF_A_BATCH
    return {TRAY: "tray", THREE: "#3"}.get(kind, "#1")


def plant_of(lot: int) -> int:
    """Return the plant of a lot; both batches of a pair are of one plant."""
    return (lot - 1) // (2 * LOTS_OF_A_BATCH) % PLANTS + 1


class Facts:
    """The rows not written yet, and the numbers that come next."""

    def __init__(self, connection, sizes):
        self.connection, self.sizes = connection, sizes
        self.rows = defaultdict(list)
        self.last = defaultdict(int)
        self.documents: dict[int, tuple] = {}

    def write(self, entry: Entry) -> None:
        """Write one entry, and its undoing where it has one."""
        day = _day(entry.day)
        operation = self._operation(entry.kind, day)
        for move in entry.moves:
            entry.movement_id = self._movement(operation, day, move, entry.of)
        for lot, category, amount in entry.costs:
            self._add("inventory_costentry", operation, day, lot, category, amount)
        if entry.place:
            lot = entry.moves[0][2]
            self._add("inventory_placement", operation, day, lot, entry.place)
        if entry.kind == "root_count":
            self._add("inventory_count", operation, day, entry.moves[0][1], 4_850)
        if entry.kind == "return":
            self._credit(entry, day)
        if entry.undone:
            undoing = self._operation("undo", day, reverses=operation)
            for kind, source, target, *rest in entry.moves:
                self._movement(undoing, day, (kind, target, source, *rest), None)
        self._flush_at(CHUNK)

    def sell(self, sales: list[Entry]) -> None:
        """Write sales of one day as one operation with its document, paid in full."""
        day = _day(sales[0].day)
        operation = self._operation("sale", day)
        lines = []
        for sale in sales:
            sale.movement_id = self._movement(operation, day, sale.moves[0], None)
            lines.append((sale.movement_id, sale.moves[0][1], sale.moves[0][3]))
        document, total = self._document("sale", day, lines)
        for movement, *_ in lines:
            self.documents[movement] = document
        self._add("sales_payment", document, day, "cash", total, "", f"{document:032x}")

    def flush(self) -> None:
        self._flush_at(1)

    def _credit(self, entry, day):
        _, _, lot, quantity, *_ = entry.moves[0]
        lines = [(entry.movement_id, lot, quantity)]
        self._document("credit", day, lines, corrects=self.documents[entry.of.movement_id])

    def _document(self, kind, day, lines, corrects=None):
        """Write a document with one line for each (movement, lot, quantity)."""
        series = ("C" if kind == "credit" else "") + day[:4]
        serial, document = self._next(series), self._next("document")
        net = sum(quantity * PRICE[size_of(lot)] for _, lot, quantity in lines)
        tax = (net * TAX_PERCENT // 100 + CENT // 2) // CENT * CENT
        buyer = document % (2 * BUYERS) + 1
        self._add(
            "sales_document",
            document,
            f"{series}-{serial:04d}",
            series,
            serial,
            kind,
            day,
            day,
            buyer if buyer <= BUYERS else None,
            corrects,
            *["invoice", False],
            net,
            tax,
            *["", "", "{}", "{}"],
        )
        self._add("sales_documenttax", document, "S", TAX_PERCENT, "Sales tax", "", net, tax, "[]")
        for movement, lot, quantity in lines:
            line, size = self._next("line"), size_of(lot)
            self._add(
                "sales_documentline",
                line,
                document,
                plant_of(lot),
                self.sizes[size],
                quantity,
                PRICE[size],
                "stand list",
                quantity * PRICE[size],
                *["S", TAX_PERCENT, "{}"],
            )
            self._add("sales_take", line, movement, quantity * PRICE[size])
        return document, net + tax

    def _operation(self, kind, day, reverses=None):
        operation = self._next("operation")
        request = f"{operation:032x}"
        self._add(
            "inventory_operation", operation, request, kind, day, "", reverses, f"{day} 12:00:00"
        )
        return operation

    def _movement(self, operation, day, move, of):
        kind, source, target, quantity, batch, cause = move
        movement = self._next("movement")
        of_id = of.movement_id if of else None
        self._add(
            "inventory_movement",
            movement,
            operation,
            day,
            kind,
            source,
            target,
            quantity,
            batch,
            cause,
            of_id,
        )
        return movement

    def _next(self, name):
        self.last[name] += 1
        return self.last[name]

    def _add(self, table, *row):
        self.rows[table].append(row)

    def _flush_at(self, size):
        if len(self.rows["inventory_movement"]) < size:
            return
        for table, columns in COLUMNS.items():
            _insert(self.connection, table, columns, self.rows.pop(table, []))


def _write_nouns(pairs):
    """Write what the facts are about, through the models."""
    Nursery(name="Long Bench Plants").save()
    Place.objects.create(name="Hoop house")
    names = [f"Buxus sempervirens 'Bench {number}'" for number in range(PLANTS)]
    Plant.objects.bulk_create(Plant(name=name, search_key=search_key(name)) for name in names)
    Buyer.objects.bulk_create(Buyer(name=f"Gardens by Number {n}") for n in range(BUYERS))
    TaxRate.objects.create(percent=TAX_PERCENT, valid_from=FIRST_DAY)
    sizes = {row.code: row for row in Container.objects.all()}
    Price.objects.bulk_create(_prices(sizes))
    starts = [FIRST_DAY + timedelta(days=start_of(pair, pairs)) for pair in range(pairs)]
    Batch.objects.bulk_create(
        Batch(
            code=f"B{batch:05d}",
            plant_id=plant_of(1 + batch * LOTS_OF_A_BATCH),
            kind=Batch.Kind.STICK,
            started_on=starts[batch // 2],
        )
        for batch in range(2 * pairs)
    )
    lots = Lot.objects.bulk_create(
        Lot(
            code=f"L{lot:06d}",
            plant_id=plant_of(lot),
            container=sizes[size_of(lot)],
            began_on=starts[(lot - 1) // (2 * LOTS_OF_A_BATCH)],
        )
        for lot in range(1, 2 * pairs * LOTS_OF_A_BATCH + 1)
    )
    LotBalance.objects.bulk_create(LotBalance(lot=lot) for lot in lots)


def _prices(sizes):
    """Yield a price for each plant, container for sale and year."""
    for year in range(YEARS):
        for plant in range(1, PLANTS + 1):
            for size, amount in PRICE.items():
                yield Price(
                    plant_id=plant,
                    container=sizes[size],
                    amount=from_millionths(amount),
                    valid_from=FIRST_DAY + timedelta(days=365 * year),
                    request_id=uuid4(),
                )


def _day(number):
    return (FIRST_DAY + timedelta(days=number)).isoformat()


def _insert(connection, table, columns, rows):
    marks = ", ".join("?" * (columns.count(",") + 1))
    connection.executemany(f"INSERT INTO {table} ({columns}) VALUES ({marks})", rows)
