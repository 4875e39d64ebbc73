"""Lists as files: the same rows, and text that no spreadsheet takes for a formula."""

from datetime import UTC, datetime
from decimal import Decimal
from fractions import Fraction
from io import BytesIO

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from nursery.listing import ListTable, MoneyColumn, exact, harmless
from tests.entering import as_grower
from tests.factories import NurseryFactory, PlantFactory, lot_holding

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    return as_grower(client)


def test_a_csv_has_every_row_that_matches_and_not_only_a_page(grower):
    plant = PlantFactory(name="Taxus ×media 'Hicksii'")
    for number in range(30):
        lot_holding(number + 1, f"L{number:02}", plant=plant, medium="3.00")

    answer = grower.get(reverse("inventory:lot-list"), {"_export": "csv", "plant": "taxus"})

    lines = answer.content.decode("utf-8-sig").splitlines()
    assert answer["Content-Disposition"].startswith('attachment; filename="lots-')
    assert len(lines) == 31
    assert lines[0].startswith("Lot,Plant,Container,Grade,Size,Place,Age,On hand")
    assert lines[3].startswith("L02,Taxus ×media 'Hicksii',#1,")
    assert lines[3].endswith("3,1.000000,3.000000")


@pytest.mark.parametrize("rows", ["-1", "0", "", "ten", "²", "1e9", "9" * 6, "9" * 400])
def test_no_number_of_rows_breaks_a_list(rows, grower):
    for number in range(26):
        lot_holding(1, f"L{number:02}")

    table = grower.get(reverse("inventory:lot-list"), {"per_page": rows}).context["table"]

    assert (len(table.paginated_rows), table.paginator.num_pages) == (25, 2)


@pytest.mark.parametrize(
    ("page", "shown"), [("2", 2), ("3", 2), ("0", 2), ("-1", 2), ("9" * 400, 2), ("", 1), ("x", 1)]
)
def test_a_page_that_is_none_shows_the_last_or_the_first(page, shown, grower):
    for number in range(26):
        lot_holding(1, f"L{number:02}")

    table = grower.get(reverse("inventory:lot-list"), {"page": page}).context["table"]

    assert table.page.number == shown


def test_a_list_shows_as_many_rows_as_were_asked_for(grower):
    for number in range(30):
        lot_holding(1, f"L{number:02}")

    table = grower.get(reverse("inventory:lot-list"), {"per_page": "7"}).context["table"]

    assert (len(table.paginated_rows), table.paginator.num_pages) == (7, 5)


def test_an_xlsx_holds_numbers_as_numbers(grower):
    lot_holding(4, "L1", medium="10.00")

    answer = grower.get(reverse("inventory:lot-list"), {"_export": "xlsx"})

    head, row = load_workbook(BytesIO(answer.content)).active.iter_rows(values_only=True)
    assert dict(zip(head, row, strict=True))["On hand"] == 4
    assert dict(zip(head, row, strict=True))["Cost, $"] == 10


def test_a_column_of_money_without_a_name_is_called_as_it_is_spelt(db):
    class Bought(ListTable):
        paid_so_far = MoneyColumn()
        cost = MoneyColumn(verbose_name="What it cost")

    assert [column.header for column in Bought([]).columns] == ["Paid so far, $", "What it cost, $"]


def test_a_file_of_entries_opens_in_a_spreadsheet(grower):
    lot_holding(4, "L1")

    answer = grower.get(reverse("inventory:entry-list"), {"_export": "xlsx"})

    assert load_workbook(BytesIO(answer.content)).active.max_row == 2


def test_a_file_of_an_unknown_kind_is_not_found(grower):
    assert grower.get(reverse("inventory:lot-list"), {"_export": "exe"}).status_code == 404


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1"])
def test_text_that_begins_like_a_formula_is_quoted(text):
    # OWASP, CSV Injection: cells that begin with = + - @, tab or carriage return.
    assert harmless(text) == f"'{text}"


@pytest.mark.parametrize("value", [-3, Decimal("-1.50"), None, "Taxus", ""])
def test_numbers_and_harmless_text_stay_as_they_are(value):
    assert harmless(value) == value


def test_a_moment_is_written_without_its_zone():
    assert harmless(datetime(2026, 4, 1, 9, 30, 5, 7, tzinfo=UTC)) == datetime(2026, 4, 1, 9, 30, 5)


def test_fractions_become_whole_numbers_or_six_places():
    assert exact(Fraction(8, 2)) == 4
    assert exact(Fraction(1, 3)) == Decimal("0.333333")
