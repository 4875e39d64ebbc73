"""Cash over and short, and cash rounded at a stand, by published figures."""

from decimal import Decimal
from uuid import uuid4

import pytest

from sales import operations
from sales.queries.journal import journal
from tests.factories import DAY, NurseryFactory, give_price, lot_holding
from tests.stand_scenes import close, figures, give_out, sell_at, stand

pytestmark = pytest.mark.django_db


def over_or_short() -> Decimal:
    """Return what the journal has on its account, a debit where positive."""
    lines = [line for entry in journal() for line in entry.lines()]
    return sum(line.debit - line.credit for line in lines if line.account == "over_short")


def test_a_fund_of_75_with_receipts_of_45_and_25_in_cash_is_short_by_5():
    # F5 (a): OpenStax, Principles of Accounting, Volume 1, section 8.4, READ.
    day = stand("75")
    give_out(day, "45")

    close(day, "25")

    assert figures(day).expected == 30
    assert figures(day).over_short == -5
    assert over_or_short() == 5


def test_a_float_of_200_with_sales_of_1400_and_1614_counted_is_over_by_14():
    # F5 (b): a source of low authority, READ; the arithmetic re-done: 1,614 − (200 + 1,400).
    lot = lot_holding(140)
    give_price(lot, "10.00")
    day = stand("200")
    sell_at(day, lot, 140)

    close(day, "1614")

    assert figures(day).cash_sales == 1400
    assert figures(day).over_short == 14
    assert over_or_short() == -14


@pytest.mark.parametrize(
    ("paid_by", "cash", "card"), [("card", "0", "4.92"), ("cash", "4.90", "0")]
)
def test_the_box_expects_what_cash_can_pay_and_the_card_reader_the_cent(paid_by, cash, card):
    # D7: Government of Canada, Budget 2012, READ: 1.83 + 2.86 and 5 % are 4.92; in cash 4.90.
    NurseryFactory(currency="CAD", cash_step=Decimal("0.05"))
    operations.set_tax_rate(name="GST", percent=Decimal(5), on=DAY, basis="invoice")
    lots = [lot_holding(1, "A"), lot_holding(1, "B")]
    for lot, price in zip(lots, ("1.83", "2.86"), strict=True):
        give_price(lot, price)
    day = stand("0")

    items = [operations.Item(lot.plant, lot.container, 1) for lot in lots]
    operations.sell(items=items, on=DAY, request_id=uuid4(), stand=day, paid_by=paid_by)

    assert figures(day).expected == Decimal(cash)
    assert figures(day).card_sales == Decimal(card)
