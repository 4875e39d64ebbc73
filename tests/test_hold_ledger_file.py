"""Holds and the days lots are ready survive an export into an empty ledger."""

from decimal import Decimal

import pytest

from inventory.models import Lot
from sales.ledger_file.rows import RowError
from sales.models import Hold
from sales.reports import REPORTS
from tests.factories import lot_holding
from tests.test_hold import hand_over, held
from tests.test_ledger_file import exported, left_behind, read
from tests.test_ready_on import MAY, growing_lot

pytestmark = pytest.mark.django_db

HEAD = "date,event,lot,batch,plant,container,quantity,buyer,price,document,hold,until\n"
BEGUN = "2026-04-01,opening,L1,B1,Buxus sempervirens,#1,20,,,,,\n"
HELD = "2026-04-02,hold,,,Buxus sempervirens,#1,12,Ashby Yard,5.00,,1.1,2027-03-12\n"


def told() -> dict:
    return {name: REPORTS[name]() for name in ("holds", "availability", "lots")}


def test_what_is_held_survives_the_way_out_and_in():
    with left_behind():
        made = held(lot_holding(20, "A"), 12, unit_price=Decimal(5))
        hand_over(made, 5)
        held(growing_lot(40, "G"), 30, ahead=True, until=MAY)
        before, text = told(), exported()

    read(text)

    assert told() == before
    assert Lot.objects.get(code="G").ready_on == MAY
    assert exported().count("\n") == text.count("\n")


def test_a_ledger_without_holds_keeps_the_plain_file():
    with left_behind():
        lot_holding(20)
        text = exported()

    assert "until" not in text.splitlines()[0]


def test_a_file_with_a_hold_and_its_sale_is_read():
    sold = "2026-05-01,sale,L1,,,,5,Ashby Yard,5.00,,1.1,\n"

    read(HEAD + BEGUN + HELD + sold)

    line = Hold.objects.get().lines.with_taken().get()
    assert (line.quantity, line.open) == (12, 7)


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        (HELD.replace("2027-03-12", "soon"), "not a date"),
        (HELD.replace("2027-03-12", "2026-03-12"), "lies before"),
        (HELD.replace("Ashby Yard", ""), "whom the plants are held for"),
        (HELD + HELD, "earlier row"),
        (HELD + "2026-05-01,sale,L1,,,,5,,5.00,,2.2,\n", "no hold has that key"),
        (HELD + "2026-05-01,sale,L1,,,,13,,5.00,,1.1,\n", "only 12 were held"),
        ("2026-05-01,ready,L9,,,,,,,,,\n", "no lot L9"),
    ],
)
def test_a_wrong_row_says_what_would_be_right(row, problem):
    with pytest.raises(RowError, match=problem):
        read(HEAD + BEGUN + row)
