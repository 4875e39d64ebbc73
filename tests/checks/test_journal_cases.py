"""The journal against published entries.

Source: OpenStax, Principles of Accounting, Volume 1: Financial Accounting (module named
beside each), read there, but where a comment says otherwise.
"""

from collections import Counter
from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.models import Supply
from inventory.operations import count
from inventory.operations.supplies import buy, count_supply
from nursery.money import from_millionths
from sales import operations
from sales.journal import Entry, Line, Unbalanced, checked
from sales.models import TaxRate
from sales.queries.journal import journal
from tests.factories import DAY, NurseryFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nursery():
    return NurseryFactory()


def balances(**days) -> dict[str, Decimal]:
    """Return what each account moved: debits less credits, those at nothing left out."""
    sums: Counter = Counter()
    for entry in journal(**days):
        for line in entry.lines():
            sums[line.account] += line.amount
    return {account: from_millionths(sum_) for account, sum_ in sums.items() if sum_}


def test_a_cash_sale_with_tax():
    # F6, m67904: 18,000 at 6 percent: cash 19,080, tax 1,080, sales 18,000.
    TaxRate.objects.create(percent=6, valid_from=DAY)
    lot = lot_holding(10, on=DAY - timedelta(days=1))

    sell_from(lot, 10, "1800.00", paid_by="cash")

    assert balances(since=DAY) == {"cash": 19_080, "tax": -1_080, "sales": -18_000}


# F8, m67864, rows a, c and d. Their discounts for paying early are in
# test_receivables.py; here the sale, its cost and the return with its cost.
@pytest.mark.parametrize(
    ("sold", "cost", "returned", "cost_back"),
    [(2_450, 1_000, 500, 130), (19_250, 5_500, 3_500, 1_000), (16_800, 3_360, 0, 0)],
)
def test_a_sale_on_account_and_a_return(sold, cost, returned, cost_back):
    keeps = lot_holding(1, "KEEPS", medium=str(cost - cost_back))
    comes = lot_holding(1, "COMES", plant=keeps.plant, medium=str(cost_back))
    items = [
        operations.Item(lot.plant, lot.container, 1, lot=lot, unit_price=Decimal(price))
        for lot, price in ((keeps, sold - returned), (comes, returned))
    ]
    next_day = DAY + timedelta(days=1)

    # Where nothing came back, the plant that would have is given on top.
    document = operations.sell(items=items, on=next_day, note="On top", request_id=uuid4())
    assert balances(since=next_day) == {
        "receivable": sold,
        "sales": -sold,
        "cost_of_sales": cost,
        "stock": -cost,
    }

    back = [(comes, 1)]
    later = {"on": next_day + timedelta(days=1), "restock": True, "request_id": uuid4()}
    operations.take_back(document=document, plants=back, **later)
    expected = {
        "returns": returned,
        "receivable": -returned,
        "stock": cost_back,
        "cost_of_sales": -cost_back,
    }
    assert balances(since=later["on"]) == {key: sum_ for key, sum_ in expected.items() if sum_}


def test_the_phones_of_which_forty_come_back():
    # F8, m67864: 250 at 150 (cost 60) is 37,500 and 15,000; 40 back is 6,000 and 2,400.
    lot = lot_holding(250, medium="15000")
    next_day = DAY + timedelta(days=1)
    document = sell_from(lot, 250, "150.00", on=next_day, paid_by="cash")
    assert balances(since=next_day) == {
        "cash": 37_500,
        "sales": -37_500,
        "cost_of_sales": 15_000,
        "stock": -15_000,
    }

    day_after = next_day + timedelta(days=1)
    facts = {"on": day_after, "restock": True, "request_id": uuid4()}
    operations.take_back(document=document, plants=[(lot, 40)], **facts)
    back = {"amount": Decimal(-6_000), "method": "cash", "on": day_after, "request_id": uuid4()}
    operations.pay(document=document, **back)

    assert balances(since=day_after) == {
        "returns": 6_000,
        "cash": -6_000,
        "stock": 2_400,
        "cost_of_sales": -2_400,
    }


@pytest.mark.parametrize(("books", "found"), [(73_200, 72_980), (41_300, 39_800)])
def test_what_a_count_does_not_find(books, found):
    # F10, read in a source of low authority: the books less the count go to expense and out of
    # the stock, 220 and 1,500. The trade's own stock is plants; the supplies are counted so.
    supply = Supply.objects.create(name="Pots")
    facts = {"supply": supply, "on": DAY}
    buy(quantity=Decimal(books), amount=Decimal(books), request_id=uuid4(), **facts)

    count_supply(found=Decimal(found), request_id=uuid4(), **facts)

    assert balances() == {
        "supplies": found,
        "payable": -books,
        "supplies_missing": books - found,
    }


def test_plants_that_a_count_does_not_find_beyond_what_was_expected():
    # F10 with plants: IAS 2 paragraph 34, losses are an expense of the period. A whole lot
    # missing is expensed whatever was expected.
    lot = lot_holding(220, medium="220")

    count(lot=lot, found=0, on=DAY + timedelta(days=1), request_id=uuid4())

    assert balances(since=DAY + timedelta(days=1)) == {"losses": 220, "stock": -220}


@pytest.mark.parametrize(
    ("gross", "discount", "net"),
    [("12000", "240", "11760"), ("11000", "220", "10780"), ("1250", "62.50", "1187.50")],
)
def test_supplies_come_in_at_what_was_paid_for_them(gross, discount, net):
    # F11, m67904: a discount for paying early is no income; the goods cost that much less.
    supply = Supply.objects.create(name="Boxes")
    paid = Decimal(gross) - Decimal(discount)

    buy(supply=supply, quantity=Decimal(1000), amount=paid, on=DAY, request_id=uuid4())

    assert balances() == {"supplies": Decimal(net), "payable": -Decimal(net)}


def test_the_unbalanced_entry_in_print_is_refused():
    # Trap T7, m67864: printed as cost of goods sold 12,000 against inventory 15,000.
    printed = [Line("cost_of_sales", 12_000_000_000), Line("stock", -15_000_000_000)]

    with pytest.raises(Unbalanced, match=r"differ by -3000\.0"):
        checked(printed)

    right = [Line("cost_of_sales", 15_000_000_000), Line("stock", -15_000_000_000)]
    assert checked(right) == right


def test_an_entry_has_one_line_for_each_account():
    entry = Entry("O1", date(2025, 1, 1), "Sold")
    entry.post("receivable", "sales", Decimal(100))
    entry.post("receivable", "tax", Decimal(6))

    amounts = {line.account: (line.debit, line.credit) for line in entry.lines()}

    assert amounts == {"receivable": (106, 0), "sales": (0, 100), "tax": (0, 6)}
