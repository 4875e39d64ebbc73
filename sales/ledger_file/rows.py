"""Read rows of a ledger file, and say precisely what is wrong with one."""

import csv
import hashlib
import io
import json
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from uuid import UUID, uuid5

from inventory.costing.categories import CATEGORIES
from nursery.money import to_millionths

COLUMNS = (
    "date",
    "event",
    "lot",
    "to_lot",
    "batch",
    "plant",
    "container",
    "place",
    "quantity",
    "category",
    "amount",
    "cause",
    "treatment",
    "buyer",
    "price",
    "document",
    "note",
)
# Written only where there are supplies, or people, so that a ledger without keeps the plain file.
SUPPLY_COLUMNS = ("supply", "unit")
WORK_COLUMNS = ("person",)
# Written only where a price, a hold or a lot is of one grade.
GRADE_COLUMNS = ("grade",)
# Written only where plants were older than the entry that they begin with.
SINCE_COLUMNS = ("since",)
# Written only where plants were measured.
SIZE_COLUMNS = ("size",)
# Written only where plants are held for somebody.
HOLD_COLUMNS = ("hold",)
# Written only where something lasts until a day: a hold, a certificate.
UNTIL_COLUMNS = ("until",)
# Written only where there is somebody to ask for at a buyer's.
CONTACT_COLUMNS = ("email", "phone")
ALL_COLUMNS = (
    *(COLUMNS + SUPPLY_COLUMNS + WORK_COLUMNS + GRADE_COLUMNS),
    *(HOLD_COLUMNS + UNTIL_COLUMNS + CONTACT_COLUMNS + SINCE_COLUMNS + SIZE_COLUMNS),
)
# Why a price applied, where the file does not tell.
UNTOLD = "ledger file"
NAMESPACE = UUID("5f1c1f0e-6d0b-4d6e-9a53-0d6e3b8f2a41")
LARGEST_QUANTITY = 100_000_000
LONGEST_NUMBER = 12
# As long as the database's columns are. SQLite would take more, PostgreSQL would not.
LONGEST = {
    **dict.fromkeys(("lot", "to_lot", "batch", "document"), 24),
    "plant": 120,
    "place": 60,
    "person": 80,
    "treatment": 120,
    "buyer": 80,
    "cause": 80,
    "supply": 80,
    "grade": 24,
    "hold": 24,
}


class RowError(Exception):
    """A row that cannot be read: line, column, what is wrong, what would be right."""

    def __init__(self, line: int, column: str, problem: str):
        self.line, self.column, self.problem = line, column, problem
        where = f"line {line}" + (f", column {column}" if column else "")
        super().__init__(f"{where}: {problem}")


@dataclass(frozen=True)
class Row:
    """One row of the file. Reading a cell raises RowError where it is not right."""

    line: int
    cells: dict[str, str]
    request_id: UUID

    def error(self, column: str, problem: str) -> RowError:
        return RowError(self.line, column, problem)

    def text(self, column: str) -> str:
        """Return a cell, or nothing where the file has no such column."""
        return self.cells.get(column, "")

    def needed(self, column: str, right: str) -> str:
        """Return a cell that may not be empty; `right` says what belongs there."""
        if not self.text(column):
            raise self.error(column, f"empty; write {right}.")
        return self.text(column)

    @property
    def date(self) -> date:
        return self.day("date", "a date such as 2026-04-30")

    def day(self, column: str, right: str) -> date:
        """Return the day in a cell that may not be empty; `right` says what belongs there."""
        text = self.needed(column, right)
        try:
            if len(text) != len("2026-04-30"):
                raise ValueError
            return date.fromisoformat(text)
        except ValueError:
            raise self.error(
                column, f"“{text}” is not a date; write year-month-day, as 2026-04-30."
            ) from None

    def quantity(self, *, least: int = 1) -> int:
        """Return a number of plants, at least `least`."""
        text = self.needed("quantity", "a whole number of plants")
        digits = text.isascii() and text.isdigit() and len(text) <= LONGEST_NUMBER
        if not digits or int(text) > LARGEST_QUANTITY:
            raise self.error(
                "quantity",
                f"“{text}” is not a whole number of plants; write digits only, as 40.",
            )
        if int(text) < least:
            raise self.error("quantity", f"{text} is too few; at least {least} is right.")
        return int(text)

    def money(self, column: str) -> Decimal:
        """Return an amount of money with at most six decimal places."""
        text = self.needed(column, "an amount of money, as 12.50")
        try:
            value = Decimal(text)
            to_millionths(value)
        except (InvalidOperation, ValueError):
            raise self.error(
                column,
                f"“{text}” is not an amount of money; write digits with a decimal point "
                "and no currency sign, as 1234.50.",
            ) from None
        return value

    def number(self, column: str, *, least: Decimal | None = None) -> Decimal:
        """Return a number with decimals, at least `least`."""
        text = self.needed(column, "a number, as 12.5")
        try:
            value = Decimal(text)
            to_millionths(value)
        except (InvalidOperation, ValueError):
            raise self.error(
                column, f"“{text}” is not a number; write digits with a decimal point, as 12.5."
            ) from None
        if least is not None and value < least:
            raise self.error(column, f"{text} is too little; at least {least} is right.")
        return value

    def costs(self, category: str) -> dict[str, Decimal]:
        """Return {category: amount}, empty where the row has no amount."""
        if not self.text("amount"):
            return {}
        return {self.choice("category", CATEGORIES, category): self.money("amount")}

    def choice(self, column: str, known, default: str = "") -> str:
        """Return a cell that is one of the `known` words."""
        text = self.text(column) or default
        if text not in known:
            raise self.error(
                column, f"“{text}” is not known; write one of {', '.join(filter(None, known))}."
            )
        return text


@contextmanager
def open_rows(path: Path) -> Iterator["RowsInOrder"]:
    """Open a ledger file and give its rows by date, those of one date in file order.

    The rows rest in a temporary file, so that a long history takes no memory.
    """
    with (
        tempfile.TemporaryDirectory(prefix="ledger-") as folder,
        closing(sqlite3.connect(Path(folder) / "rows")) as spool,
    ):
        spool.execute("CREATE TABLE row (day TEXT, line INTEGER, cells TEXT)")
        digest = hashlib.sha256()
        spool.executemany("INSERT INTO row VALUES (?, ?, ?)", _spooled(path, digest))
        spool.execute("CREATE INDEX by_day ON row (day, line)")
        yield RowsInOrder(spool, digest.hexdigest())


class RowsInOrder:
    """The rows of an opened ledger file."""

    def __init__(self, spool: sqlite3.Connection, digest: str):
        self.spool, self.digest = spool, digest

    def __len__(self) -> int:
        return self.spool.execute("SELECT COUNT(*) FROM row").fetchone()[0]

    def __iter__(self) -> Iterator[Row]:
        rows = self.spool.execute("SELECT line, cells FROM row ORDER BY day, line")
        for line, cells in rows:
            yield Row(line, json.loads(cells), uuid5(NAMESPACE, f"{self.digest} {line}"))

    def document_numbers(self) -> Iterator[str]:
        """Yield the document numbers that sales in the file bring along."""
        rows = self.spool.execute(
            "SELECT DISTINCT json_extract(cells, '$.document') FROM row "
            "WHERE json_extract(cells, '$.event') = 'sale'"
        )
        yield from (number for (number,) in rows if number)


def _spooled(path, digest):
    with open(path, "rb") as file:
        text = io.TextIOWrapper(file, encoding="utf-8-sig", newline="")
        reader = csv.reader(text, strict=True)
        try:
            header = _header(reader)
            for cells in reader:
                if any(cells):
                    yield _spool_row(reader.line_num, header, cells, digest)
        except UnicodeDecodeError:
            raise RowError(
                reader.line_num + 1, "", "not UTF-8 text; save the file as CSV in UTF-8."
            ) from None
        except csv.Error as error:
            raise RowError(reader.line_num, "", f"not readable as CSV: {error}.") from None


def _header(reader):
    header = [name.strip() for name in next(reader, [])]
    for name in header:
        if name not in ALL_COLUMNS:
            raise RowError(1, name, f"no such column; the columns are {', '.join(ALL_COLUMNS)}.")
    for name in ("date", "event"):
        if name not in header:
            raise RowError(1, name, "missing; the first row names the columns.")
    if len(set(header)) < len(header):
        raise RowError(1, "", "a column is named twice.")
    return header


def _spool_row(line, header, cells, digest):
    if len(cells) > len(header):
        raise RowError(
            line,
            "",
            f"{len(cells)} cells where the header names {len(header)}; put text "
            "with a comma in quotes.",
        )
    named = {name: text.strip() for name, text in zip(header, cells, strict=False) if text.strip()}
    row = Row(line, named, NAMESPACE)
    for name, text in named.items():
        if "\x00" in text:
            raise row.error(name, "a zero byte, which is no letter; write the text anew.")
    for name, longest in LONGEST.items():
        if len(row.text(name)) > longest:
            length = len(row.text(name))
            raise row.error(name, f"{length} letters are too many; write at most {longest}.")
    packed = json.dumps(named, ensure_ascii=False, sort_keys=True)
    digest.update(packed.encode())
    return row.date.isoformat(), line, packed
