"""A bad row stops all of a ledger file, and says line, column, what is wrong and what is right."""

import re

import pytest
from django.core.management import CommandError, call_command

from inventory.models import Batch, Lot, Operation, Place, Plant
from sales.ledger_file.importing import import_ledger
from sales.ledger_file.rows import COLUMNS, RowError
from sales.models import Buyer, Document, Price

pytestmark = pytest.mark.django_db

BEGUN = {
    "date": "2025-04-10",
    "event": "opening",
    "lot": "L1",
    "batch": "B1",
    "plant": "Ilex crenata 'Sky Pencil'",
    "container": "#1",
    "quantity": "20",
    "category": "plants",
    "amount": "40.00",
}
SOLD = {
    "date": "2025-05-01",
    "event": "sale",
    "lot": "L1",
    "quantity": "5",
    "buyer": "Harrow and Thistle",
    "price": "9.50",
    "document": "2025-0001",
}
NEXT = {"date": "2025-05-02", "lot": "L1"}


def file_of(*rows: dict) -> str:
    lines = [",".join(COLUMNS)]
    lines += [",".join(row.get(column, "") for column in COLUMNS) for row in rows]
    return "\n".join(lines) + "\n"


def after(**row) -> tuple:
    """A row after a good beginning and a good sale: line 4."""
    return BEGUN, SOLD, NEXT | row


# What is wrong: the rows; then line, column, and words of what is wrong and what would be right.
BAD = {
    "unknown event": (after(event="prune"), 4, "event", "“prune” is not known; write one of stick"),
    "no event": (after(), 4, "event", "empty; write what happened"),
    "unknown container": (
        [BEGUN | {"container": "#4"}],
        2,
        "container",
        "“#4” is not known; write one of .*#3",
    ),
    "no container": ([BEGUN | {"container": ""}], 2, "container", "“” is not known; write one of"),
    "unknown cause": (
        after(event="loss", quantity="2", cause="frost"),
        4,
        "cause",
        "“frost” is not known; write one of not rooted, winter",
    ),
    "no cause": (after(event="loss", quantity="2"), 4, "cause", "empty; write one of not rooted"),
    "unknown category": (
        after(event="cost", category="water", amount="3.00"),
        4,
        "category",
        "“water” is not known; write one of cuttings, plants",
    ),
    "unknown treatment": (
        after(event="loss", quantity="2", cause="winter", treatment="usual"),
        4,
        "treatment",
        "“usual” is not known; write one of normal, abnormal",
    ),
    "unknown lot": (
        after(event="loss", lot="L9", quantity="2", cause="winter"),
        4,
        "lot",
        "there is no lot L9 by 2025-05-02; begin it in an earlier row",
    ),
    "no lot": (after(event="cost", lot="", amount="2"), 4, "lot", "empty; write the code of a lot"),
    "unknown lot to blend with": (
        after(event="blend", to_lot="L8"),
        4,
        "to_lot",
        "there is no lot L8",
    ),
    "a day that does not exist": (
        after(event="cost", amount="1", date="2025-02-30"),
        4,
        "date",
        "“2025-02-30” is not a date; write year-month-day, as 2026-04-30",
    ),
    "a date of another order": (
        after(event="cost", amount="1", date="02/05/2025"),
        4,
        "date",
        "is not a date",
    ),
    "no date": (after(event="cost", amount="1", date=""), 4, "date", "empty; write a date such as"),
    "half a plant": (
        [BEGUN | {"quantity": "1.5"}],
        2,
        "quantity",
        "“1.5” is not a whole number of plants; write digits only, as 40",
    ),
    "a thousands comma": (
        [BEGUN | {"quantity": '"1,000"'}],
        2,
        "quantity",
        "“1,000” is not a whole number of plants; write digits only",
    ),
    "a negative number": ([BEGUN | {"quantity": "-4"}], 2, "quantity", "“-4” is not a whole"),
    "no plants": ([BEGUN | {"quantity": "0"}], 2, "quantity", "0 is too few; at least 1 is right"),
    "no quantity": ([BEGUN | {"quantity": ""}], 2, "quantity", "empty; write a whole number"),
    "a quantity beyond reason": ([BEGUN | {"quantity": "9" * 30}], 2, "quantity", "is not a whole"),
    "digits of another script": ([BEGUN | {"quantity": "٤"}], 2, "quantity", "is not a whole"),
    "a currency sign": (
        [BEGUN | {"amount": "$40"}],
        2,
        "amount",
        "“.40” is not an amount of money",
    ),
    "a decimal comma": ([BEGUN | {"amount": '"40,00"'}], 2, "amount", "“40,00” is not an amount"),
    "no number": ([BEGUN | {"amount": "NaN"}], 2, "amount", "“NaN” is not an amount of money"),
    "seven decimals": ([BEGUN | {"amount": "1.0000001"}], 2, "amount", "is not an amount of money"),
    "no amount": (after(event="cost"), 4, "amount", "empty; write an amount of money"),
    "no price": (
        after(event="sale", quantity="1"),
        4,
        "price",
        "empty; write an amount of money, as 12.50",
    ),
    "a negative price": (
        after(event="sale", quantity="1", price="-2"),
        4,
        "price",
        "cannot be less than nothing",
    ),
    "a price in half cents": (
        after(event="sale", quantity="1", price="2.005"),
        4,
        "price",
        "2.005 cannot be paid in USD: 2.01 would be right",
    ),
    "more than the lot holds": (
        after(event="use", quantity="16"),
        4,
        "quantity",
        "Lot L1 held 15 on 2025-05-02; 16 cannot be taken",
    ),
    "more alive than stood": (
        after(event="root_count", quantity="16"),
        4,
        "quantity",
        "Lot L1 held 15",
    ),
    "a sale of more than there is": (
        after(event="sale", quantity="16", price="2.00"),
        4,
        "quantity",
        "Lot L1 held 15",
    ),
    "an entry before the lot began": (
        [BEGUN, NEXT | {"date": "2025-04-01", "event": "use", "quantity": "1"}],
        3,
        "lot",
        "there is no lot L1 by 2025-04-01",
    ),
    "another buyer on one document": (
        [BEGUN, SOLD, SOLD | {"buyer": "Moss End Gardens"}],
        4,
        "buyer",
        "document 2025-0001 is for Harrow and Thistle; a document has one buyer",
    ),
    "a document on two days": (
        after(event="sale", quantity="1", price="2.00", document="2025-0001"),
        4,
        "document",
        "2025-0001 was issued already",
    ),
    "more back than were sold": (
        after(event="return", quantity="6", treatment="restock", document="2025-0001"),
        4,
        "quantity",
        "5 plants of lot L1 are out on 2025-0001; 6 cannot come back",
    ),
    "back from a document that is not": (
        after(event="return", quantity="1", treatment="restock", document="2025-0009"),
        4,
        "document",
        "nothing was sold on 2025-0009",
    ),
    "back without saying whereto": (
        after(event="return", quantity="1", document="2025-0001"),
        4,
        "treatment",
        "write one of restock, discard",
    ),
    "another plant in the same lot": (
        after(event="opening", batch="B2", plant="Ilex verticillata", container="#1", quantity="1"),
        4,
        "to_lot|lot",
        "Lot L1 is Ilex crenata 'Sky Pencil', not Ilex verticillata",
    ),
    "another plant in the same batch": (
        after(
            event="opening",
            lot="L2",
            batch="B1",
            plant="Ilex verticillata",
            container="#1",
            quantity="1",
        ),
        4,
        "batch",
        "Batch B1 is Ilex crenata",
    ),
    "a code longer than a label": (
        [BEGUN | {"lot": "L" * 25}],
        2,
        "lot",
        "25 letters are too many; write at most 24",
    ),
    "a plant's name without an end": (
        [BEGUN | {"plant": "Ilex " + "x" * 120}],
        2,
        "plant",
        "125 letters are too many; write at most 120",
    ),
    "a part that is no lot": (
        after(event="move", quantity="3"),
        4,
        "to_lot",
        "3 of 15 move, so name the lot they become",
    ),
    "a new lot without a container": (
        after(event="pot_up", quantity="3", to_lot="L2"),
        4,
        "container",
        "Lot L2 is new: say which container",
    ),
    "a lot into itself": (
        after(event="blend", to_lot="L1"),
        4,
        "to_lot",
        "cannot go into itself",
    ),
}
MODELS = (Operation, Lot, Batch, Plant, Place, Buyer, Document, Price)


def rows_written() -> list[int]:
    return [model.objects.count() for model in MODELS]


@pytest.mark.parametrize("name", BAD)
def test_a_bad_row_is_named_and_nothing_is_imported(name, tmp_path):
    rows, line, column, words = BAD[name]
    path, before = tmp_path / "bad.csv", rows_written()
    path.write_text(file_of(*rows), encoding="utf-8")

    with pytest.raises(RowError) as refusal:
        import_ledger(path)

    error = refusal.value
    assert error.line == line
    assert re.fullmatch(column, error.column), error
    assert re.search(words, error.problem), error
    assert str(error).startswith(f"line {line}, column {error.column}: ")
    assert rows_written() == before


GOOD = file_of(BEGUN, SOLD)
FILES = {
    "empty": (b"", "line 1, column date: missing; the first row names the columns"),
    "not UTF-8": (GOOD.replace("Thistle", "Höl").encode("latin-1"), "not UTF-8 text; save"),
    "not text": (b"\x89PNG\r\n\x1a\n\x00\x00", "not UTF-8 text"),
    "broken quotes": (GOOD.replace("Harrow", '"Harrow').encode(), "not readable as CSV"),
    "text after a quote": (GOOD.replace("opening", '"open"ing').encode(), "not readable as CSV"),
    "an unknown column": (
        GOOD.replace("note", "remark", 1).encode(),
        "line 1, column remark: no such column; the columns are date, event",
    ),
    "no event column": (GOOD.replace("event", "note", 1).encode(), "line 1"),
    "a column twice": (GOOD.replace("note", "lot", 1).encode(), "a column is named twice"),
    "too many cells": ((GOOD + "2025-05-03" + "," * 20 + "x\n").encode(), "put text with a comma"),
}


@pytest.mark.parametrize("name", FILES)
def test_a_file_that_cannot_be_read_is_refused_in_words(name, tmp_path):
    content, words = FILES[name]
    path, before = tmp_path / "bad.csv", rows_written()
    path.write_bytes(content)

    with pytest.raises(RowError, match=re.escape(words)):
        import_ledger(path)
    assert rows_written() == before


def test_a_row_with_missing_cells_is_read_as_far_as_it_goes(tmp_path):
    path = tmp_path / "short.csv"
    path.write_text(GOOD + "2025-05-03,cost,L1\n", encoding="utf-8")

    with pytest.raises(RowError, match="line 4, column amount: empty"):
        import_ledger(path)


def test_a_header_alone_imports_nothing(tmp_path):
    path = tmp_path / "header.csv"
    path.write_text(file_of(), encoding="utf-8")

    assert import_ledger(path) == 0


def test_a_line_is_counted_as_the_editor_counts_it(tmp_path):
    path = tmp_path / "quoted.csv"
    noted = BEGUN | {"note": '"two\nlines"'}
    path.write_text(file_of(noted, SOLD, NEXT | {"event": "prune"}), encoding="utf-8")

    with pytest.raises(RowError, match="line 5, column event"):
        import_ledger(path)


@pytest.mark.parametrize("check", [False, True])
def test_the_command_says_it_and_that_nothing_was_imported(check, tmp_path, capfd):
    path = tmp_path / "bad.csv"
    path.write_text(file_of(BEGUN | {"quantity": "1.5"}), encoding="utf-8")

    with pytest.raises(CommandError, match=r"line 2, column quantity: .* Nothing was imported\."):
        call_command("import_ledger", path, check=check)

    assert capfd.readouterr().out == ""
