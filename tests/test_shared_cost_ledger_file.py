"""Shared costs in the ledger file: what no lot bears, and what is still to come."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations
from inventory.queries.paid_ahead import standings
from sales.ledger_file.rows import RowError
from sales.reports import REPORTS
from tests.bill_scenes import FIRST, LAST, bill, house, lot_in, spaced
from tests.test_ledger_file import exported, left_behind, read

pytestmark = pytest.mark.django_db

NAMES = ("conservation", "valuation", "costs", "year")


def lived_in():
    """A house of which a part stands empty, and four years of film partly charged."""
    spaced("#1", None)
    place = house("10.00")
    lot_in(place, 400, "A")
    bill("100.00", place=place, unused="expense", note="Meter 7")
    operations.undo_bill(bill=bill("7.00", place=place, unused="expense"), request_id=uuid4())
    facts = {"first_day": FIRST, "last_day": date(2029, 2, 28), "request_id": uuid4()}
    film = operations.pay_ahead(
        category="space", amount=Decimal(1200), place=place, unused="expense", **facts
    )
    operations.charge_part(paid_ahead=film, until=LAST, request_id=uuid4())


def to_come():
    return [(one.to_come, one.row.last_day, one.row.unused) for one in standings()]


def test_the_reports_and_what_is_to_come_survive_the_way_out_and_in():
    days = (None, FIRST, LAST)
    with left_behind():
        lived_in()
        file = exported()
        before = [REPORTS[name](on=day) for name in NAMES for day in days], to_come()
    assert before[1] == [(Decimal("1174.54"), date(2029, 2, 28), "expense")]

    with left_behind():
        read(file)
        spaced("#1", None)

        assert ([REPORTS[name](on=day) for name in NAMES for day in days], to_come()) == before
        assert exported() == file


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ("2025-03-31,unused,31,heat,0,", "amount"),
        ("2025-03-31,unused,31,gold,5,", "category"),
        ("2025-03-31,paid_ahead,31,space,5,guess", "treatment"),
        ("2025-03-31,paid_ahead,31,space,0,", "amount"),
        ("2025-03-31,paid_ahead,,space,5,", "quantity"),
    ],
)
def test_a_row_that_is_not_right_names_its_column(row, column):
    with pytest.raises(RowError) as refusal:
        read(f"date,event,quantity,category,amount,treatment\n{row}\n")

    assert (refusal.value.line, refusal.value.column) == (2, column)
