"""Labels by their measures: where each lies on its sheet."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from sales import operations
from sales.errors import SaleRefused
from sales.labels.grid import COMMON, INCH, Grid
from sales.models import LabelStock

SEVEN_CM = Grid("A4", 3, 8, Decimal(70), Decimal(36), top=Decimal("4.5"))


@pytest.mark.parametrize("grid", COMMON.values(), ids=COMMON)
def test_every_common_grid_fits_its_sheet_and_lies_in_its_middle(grid):
    for reach, margin, size in zip(grid.reach, (grid.left, grid.top), grid.page, strict=True):
        assert reach <= size
        assert abs((size - reach) - margin) < Decimal("0.2"), "as much at one edge as at the other"


def test_labels_lie_row_by_row():
    corners = SEVEN_CM.corners

    assert len(corners) == SEVEN_CM.on_a_sheet == 24
    assert corners[:4] == [
        (0, Decimal("4.5")),
        (70, Decimal("4.5")),
        (140, Decimal("4.5")),
        (0, Decimal("40.5")),
    ]
    assert corners[-1] == (140, Decimal("256.5"))


# ANSI: letter is 8.5 × 11 in. 25.4 mm are one inch by definition (1959), from memory.
def test_a_letter_sheet_is_measured_in_inches():
    labels = COMMON["letter-3x10"]

    assert labels.reach[0] + labels.left == Decimal("8.5") * INCH
    assert labels.corners[1][0] - labels.corners[0][0] == Decimal("2.75") * INCH
    assert labels.measures == "3 × 10 on letter, 66.68 × 25.4 mm (2.625 × 1 in)"


def test_a_begun_sheet_is_used_up_first():
    sheets = list(SEVEN_CM.sheets(list(range(30)), start=20))

    assert [[place for place, _ in sheet] for sheet in sheets] == [
        [19, 20, 21, 22, 23],
        list(range(24)),
        [0],
    ]
    assert [label for sheet in sheets for _, label in sheet] == list(range(30))


def test_a_roll_has_a_label_a_page():
    roll = COMMON["roll-57x32"]

    assert roll.page == (57, 32)
    assert list(roll.sheets(["a", "b"], start=7)) == [[(0, "a")], [(0, "b")]]


@pytest.mark.django_db
def test_own_measures_are_kept_and_changed():
    stock = operations.keep_label_stock(name="Stakes", grid=SEVEN_CM)
    assert operations.keep_label_stock(name="Stakes", grid=SEVEN_CM) == stock

    roll = Grid("roll", 1, 1, Decimal(25), Decimal(90))
    operations.keep_label_stock(name="Long stakes", grid=roll, stock=stock)

    assert LabelStock.objects.get().grid == roll


@pytest.mark.django_db
def test_labels_beyond_their_sheet_are_refused():
    with pytest.raises(SaleRefused, match="reach 212 mm, and the sheet is 210 mm wide"):
        operations.keep_label_stock(name="X", grid=Grid("A4", 4, 8, Decimal(53), Decimal(36)))
    with pytest.raises(SaleRefused, match="a name"):
        operations.keep_label_stock(name=" ", grid=SEVEN_CM)
    operations.keep_label_stock(name="X", grid=SEVEN_CM)
    with pytest.raises(SaleRefused, match="called X"):
        operations.keep_label_stock(name="x", grid=COMMON["a4-2x4"])


@pytest.mark.django_db
@pytest.mark.parametrize("wrong", [{"paper": "A0"}, {"columns": 0}, {"width": 3}, {"left": -1}])
def test_the_database_refuses_what_is_no_label(wrong):
    facts = {"paper": "A4", "columns": 3, "rows": 8, "width": 70, "height": 36} | wrong

    with pytest.raises(IntegrityError), transaction.atomic():
        LabelStock.objects.create(name="X", **facts)
