"""Read purchases from a CSV file, and say of each row what will become of it."""

import csv
import io
from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal, InvalidOperation
from difflib import get_close_matches
from uuid import UUID, uuid5

from django import forms

from inventory.forms.supply_uses import LARGEST
from inventory.models import Supply, SupplyEntry
from inventory.operations.supply_purchases import Purchase
from nursery.forms import RequestForm
from nursery.money import to_millionths
from nursery.sheet_file import Unreadable, decoded, delimiter_of

COLUMNS = ("date", "supply", "quantity", "amount", "supplier", "note")
NEEDED = COLUMNS[:4]
NAMESPACE = UUID("0c4f5b1e-77a2-4b0e-9d3c-6a9d2f1b8e55")
LARGEST_FILE = 1_000_000
MOST_ROWS = 5_000
LONGEST_SUPPLIER = 80


class Wrong(ValueError):
    """What is wrong with a row or a file, and what would be right."""


@dataclass
class FileRow:
    """One row of the file: what it says, and what is wrong with it or known of it."""

    line: int
    cells: dict[str, str]
    purchase: Purchase | None = None
    problem: str = ""
    is_known: bool = False

    @property
    def is_new(self) -> bool:
        return bool(self.purchase) and not self.is_known


class PurchasesForm(RequestForm):
    """A file of purchases. `rows` holds each row with its fate."""

    is_multipart = True
    file = forms.FileField(
        label="File of purchases (CSV)",
        help_text=(
            "First row: date, supply, quantity, amount, supplier, note. Dates as 2026-04-30, "
            "numbers with a decimal point; quantity in the supply's own unit, amount in all."
        ),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.rows: list[FileRow] = []
        self.fields["file"].widget.attrs["accept"] = ".csv,text/csv"

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > LARGEST_FILE:
            raise forms.ValidationError("That is over 1 MB. Divide it into smaller files.")
        try:
            self.rows = _rows_of(file.read())
        except Wrong as error:
            raise forms.ValidationError(str(error)) from error
        wrong = sum(bool(row.problem) for row in self.rows)
        if wrong:
            raise forms.ValidationError(
                f"{wrong} of {len(self.rows)} rows cannot be taken, so none was. "
                "Mend them as told below, and send the file again."
            )
        return file

    @property
    def purchases(self) -> list[Purchase]:
        """Return every purchase of a file that is right."""
        return [row.purchase for row in self.rows if row.purchase]

    @property
    def new_rows(self) -> int:
        """Return how many rows the ledger does not know yet."""
        return sum(row.is_new for row in self.rows)


def _rows_of(content):
    try:
        text, _ = decoded(content)
        delimiter = delimiter_of(text)
    except Unreadable as error:
        raise Wrong(str(error)) from error
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        header = _header(next(reader, []))
        listed = [(reader.line_num, cells) for cells in reader if any(map(str.strip, cells))]
    except csv.Error as error:
        raise Wrong(f"Line {reader.line_num} cannot be read as CSV: {error}.") from None
    if not listed or len(listed) > MOST_ROWS:
        raise Wrong(f"The file has {len(listed)} purchases; send from 1 to {MOST_ROWS:,}.")
    rows = [_row(line, header, cells) for line, cells in listed]
    _mark_known(rows)
    return rows


def _header(cells):
    header = [name.strip().casefold() for name in cells]
    unknown = [name for name in header if name not in COLUMNS]
    missing = [name for name in NEEDED if name not in header]
    if unknown or missing or len(set(header)) < len(header):
        raise Wrong(f"The first row must name the columns, each once: {', '.join(COLUMNS)}.")
    return header


def _row(line, header, cells):
    row = FileRow(line, dict(zip(header, map(str.strip, cells), strict=False)))
    if len(cells) > len(header):
        row.problem = "More cells than columns: put text with a comma in quotes."
    return row


def _mark_known(rows):
    """Read each row, and find those that were taken in before, by what they say.

    The same purchase twice in one file is two purchases: each has a number of its own.
    """
    supplies = {supply.name.casefold(): supply for supply in Supply.objects.all()}
    times = Counter()
    for row in rows:
        if row.problem:
            continue
        try:
            row.purchase = _purchase(row.cells, supplies, times)
        except Wrong as error:
            row.problem = str(error)
    ids = [row.purchase.request_id for row in rows if row.purchase]
    entered = SupplyEntry.objects.filter(request_id__in=ids).values_list("request_id", flat=True)
    known = set(entered)
    for row in rows:
        row.is_known = bool(row.purchase) and row.purchase.request_id in known


def _purchase(cells, supplies, times):
    supply = _supply(cells.get("supply", ""), supplies)
    on = _day(cells.get("date", ""))
    quantity = _number(cells.get("quantity", ""), "quantity")
    amount = _number(cells.get("amount", ""), "amount")
    if not quantity:
        raise Wrong("quantity: write more than nothing.")
    supplier = cells.get("supplier", "")
    if len(supplier) > LONGEST_SUPPLIER:
        raise Wrong(f"supplier: write at most {LONGEST_SUPPLIER} letters.")
    note = cells.get("note", "")
    said = (on, supply.pk, to_millionths(quantity), to_millionths(amount), supplier, note)
    times[said] += 1
    request_id = uuid5(NAMESPACE, f"{said} {times[said]}")
    return Purchase(supply, quantity, amount, on, request_id, supplier, note)


def _supply(name, supplies):
    if not name:
        raise Wrong("supply: empty; write the name of a supply.")
    if name.casefold() not in supplies:
        near = get_close_matches(name.casefold(), supplies, n=1)
        right = f"did you mean {supplies[near[0]]}?" if near else "add it to the list first."
        raise Wrong(f"supply: “{name}” is not on the list; {right}")
    return supplies[name.casefold()]


def _day(text):
    try:
        on = date.fromisoformat(text) if len(text) == len("2026-04-30") else None
    except ValueError:
        on = None
    if on is None:
        raise Wrong(f"date: “{text}” is not a date; write year-month-day, as 2026-04-30.")
    if on > date.today() + timedelta(days=1):
        raise Wrong(f"date: {text} has not come yet; write the day it was bought.")
    return on


def _number(text, column):
    try:
        value = Decimal(text)
        to_millionths(value)
    except (InvalidOperation, ValueError):
        raise Wrong(
            f"{column}: “{text}” is not a number; write digits with a decimal point, as 1250.50."
        ) from None
    if not 0 <= value <= LARGEST:
        raise Wrong(f"{column}: {text} cannot be; write nothing or more.")
    return value
