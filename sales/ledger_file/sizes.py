"""Sizes in the ledger file: `size` is a range in whole millimetres, as 457/610.

A row `measure` says the size of all plants of `lot`, or of `quantity` of them, which become
`to_lot`. On a row that brings plants into another lot `size` says which one then holds for all
of that lot: a third part is the day it was measured, where that was earlier, and `none` says
that no size holds any more. What a plant is sold by is a row `plant`.
"""

from collections.abc import Callable
from datetime import date

from inventory.models import Measurement, Operation
from inventory.operations.posting import Draft
from inventory.sizes import Size
from sales.ledger_file.book import ImportBook
from sales.ledger_file.rows import Row

NONE = "none"
MOST_DIGITS = 6
Reader = Callable[[Row, ImportBook], Draft]


def sized(read: Reader) -> Reader:
    """Let a reader of rows that bring plants into a lot read its size too."""

    def read_both(row: Row, book: ImportBook) -> Draft:
        draft = read(row, book)
        if row.text("size"):
            moved = draft.movements[-1:]
            lot = moved[0].to_lot if moved else book.lot(row.text("lot"))
            draft.measure(lot, *_size_in(row))
        return draft

    return read_both


def measuring(read_move: Reader) -> Reader:
    """Return the reader of `measure`: plants go where a move takes them, and have a size."""

    def read(row: Row, book: ImportBook) -> Draft:
        row.needed("size", "a range in millimetres, as 457/610")
        draft = sized(read_move)(row, book)
        draft.operation.kind = Operation.Kind.MEASURE
        return draft

    return read


def size_cell(made: Measurement) -> str:
    """Return a measurement as the file has it."""
    if made.size is None:
        return NONE
    earlier = f"/{made.measured_on.isoformat()}" if made.measured_on < made.date else ""
    return f"{made.size.lower_mm}/{made.size.upper_mm}{earlier}"


def has_sizes() -> bool:
    """Say whether any measurement is in force."""
    undoing = Operation.Kind.UNDO
    made = Measurement.objects.filter(operation__reversed_by=None)
    return made.exclude(operation__kind=undoing).exists()


def _size_in(row) -> tuple[Size | None, date]:
    """Return the size in a row, and the day it was measured."""
    text = row.text("size")
    if text == NONE:
        return None, row.date
    lower, _, rest = text.partition("/")
    upper, _, day = rest.partition("/")
    if not all(_is_number(part) for part in (lower, upper)) or not 0 < int(lower) < int(upper):
        raise row.error(
            "size", f"“{text}” is no size; write a smaller and a larger number of mm, as 457/610."
        )
    try:
        measured_on = date.fromisoformat(day) if day else row.date
    except ValueError:
        raise row.error("size", f"“{day}” is not a date; write it as 2026-04-30.") from None
    if measured_on > row.date:
        raise row.error("size", f"{day} lies after the row's own date.")
    return Size(int(lower), int(upper)), measured_on


def _is_number(text):
    return text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS
