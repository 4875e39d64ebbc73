"""Cash, debts and their discounts against published figures.

OpenStax, Principles of Accounting, Volume 1: Financial Accounting (module named beside each),
read there, but where a comment says otherwise.
"""

from collections import Counter
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from nursery.cash import in_cash, usual_step
from nursery.money import from_millionths
from sales import operations
from sales.ages import doubtful
from sales.models import TaxRate
from sales.queries.journal import journal
from sales.queries.owed import owed
from tests.factories import DAY, BuyerFactory, NurseryFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db
FIVE = Decimal("0.05")


def balances(since=DAY) -> dict[str, Decimal]:
    """Return what each account moved: debits less credits, those at nothing left out."""
    sums: Counter = Counter()
    for entry in journal(since=since):
        for line in entry.lines():
            sums[line.account] += line.amount
    money = ("cash", "bank", "receivable", "sales", "returns", "tax", "discounts", "let_go")
    kept = (*money, "deposits", "rounding")
    return {key: from_millionths(n) for key, n in sums.items() if n and key in kept}


# D7, Government of Canada, Budget 2012, rounding of cash to five cents: the endings there, and
# 5.98 and 5.97 of the Office de la protection du consommateur of Québec.
@pytest.mark.parametrize(
    ("total", "in_coins"),
    [
        *(("4.9245", "4.90"), ("5.98", "6.00"), ("5.97", "5.95")),
        *(("1.01", "1.00"), ("1.02", "1.00"), ("1.03", "1.05"), ("1.04", "1.05")),
        *(("1.06", "1.05"), ("1.07", "1.05"), ("1.08", "1.10"), ("1.09", "1.10")),
        *(("1.00", "1.00"), ("1.05", "1.05"), ("-4.92", "-4.90")),
    ],
)
def test_cash_is_rounded_to_five_cents(total, in_coins):
    assert in_cash(Decimal(total), usual_step("CAD")) == Decimal(in_coins)


@pytest.mark.parametrize(("method", "paid"), [("card", "4.92"), ("cash", "4.90")])
def test_two_things_with_tax_by_card_and_in_cash(method, paid):
    # D7: 1.83 + 2.86 = 4.69, with 5 percent 4.9245: 4.92 by card, 4.90 in cash, tax as it is.
    NurseryFactory(currency="CAD")
    TaxRate.objects.create(percent=5, valid_from=DAY)
    lot = lot_holding(2)
    items = [
        operations.Item(lot.plant, lot.container, 1, lot=lot, unit_price=Decimal(price))
        for price in ("1.83", "2.86")
    ]

    document = operations.sell(items=items, on=DAY, paid_by=method, request_id=uuid4())

    assert (document.tax, document.total) == (Decimal("0.23"), Decimal("4.92"))
    assert document.payments.get(method=method).amount == Decimal(paid)
    assert owed(document) == 0
    assert balances().get("rounding", 0) == document.total - Decimal(paid)


# F1, m67882: 10, 20 and 30 percent of three ages of 324,850. F2, m67887: 5, 10 and 20 percent.
@pytest.mark.parametrize(
    ("sums", "percents", "expected"),
    [
        (("145740", "102100", "77010"), ("10", "20", "30"), "58097"),
        (("485000", "180000", "80000"), ("5", "10", "20"), "58250"),
    ],
)
def test_what_may_not_come_in_by_age(sums, percents, expected):
    ages = ("current", "1-30", "31-60")
    given = dict(zip(ages, map(Decimal, percents), strict=True))

    found = doubtful(dict(zip(ages, map(Decimal, sums), strict=True)), given)

    assert found == Decimal(expected)


def test_a_debt_is_let_go_and_part_of_it_comes_in_after_all():
    # F4, m67882: 5,000 is let go, 3,000 comes in later, 2,000 stays let go. The ledger takes
    # back what it let go and lets the rest go anew.
    NurseryFactory()
    invoice = sell_from(lot_holding(5), 5, "1000.00", buyer=BuyerFactory())
    gone = {"document": invoice, "method": "cash", "on": DAY, "let_go": "gone out of business"}
    first = operations.pay(amount=Decimal(0), request_id=uuid4(), **gone)
    assert balances() == {"let_go": 5_000, "sales": -5_000}

    operations.undo_payment(payment=first, request_id=uuid4())
    operations.pay(amount=Decimal(3_000), request_id=uuid4(), **gone)

    assert balances() == {"cash": 3_000, "let_go": 2_000, "sales": -5_000}


def test_a_sale_with_tax_in_cash():
    # F6, m67904: 18,000 at 6 percent: cash 19,080, tax 1,080, sales 18,000.
    NurseryFactory()
    TaxRate.objects.create(percent=6, valid_from=DAY)

    sell_from(lot_holding(10), 10, "1800.00", paid_by="cash")

    assert balances() == {"cash": 19_080, "tax": -1_080, "sales": -18_000}


# F8, m67864, rows a, c and d: sale, return, allowance, discount in percent, then cash and the
# discount kept. An allowance is let go before the discount is worked out on what is left.
@pytest.mark.parametrize(
    ("sold", "returned", "allowed", "percent", "cash", "kept"),
    [
        (2_450, 500, 0, 2, 1_911, 39),
        (19_250, 3_500, 300, 10, 13_905, 1_545),
        (16_800, 0, 0, 2, 16_464, 336),
    ],
)
def test_a_discount_for_paying_early(sold, returned, allowed, percent, cash, kept):
    NurseryFactory()
    buyer = BuyerFactory(discount_percent=percent, discount_days=10)
    keeps, comes = lot_holding(1, "KEEPS"), lot_holding(1, "COMES")
    items = [
        operations.Item(lot.plant, lot.container, 1, lot=lot, unit_price=Decimal(price))
        for lot, price in ((keeps, sold - returned), (comes, returned))
        if price
    ]
    invoice = operations.sell(items=items, on=DAY, buyer=buyer, request_id=uuid4())
    if returned:
        back = {"plants": [(comes, 1)], "on": DAY, "restock": True}
        operations.take_back(document=invoice, request_id=uuid4(), **back)
    if allowed:
        less = {"amount": Decimal(allowed), "note": "scratched pots", "on": DAY}
        operations.let_go(document=invoice, request_id=uuid4(), **less)

    in_time = {"method": "transfer", "on": DAY + timedelta(days=10), "discount": True}
    operations.pay(document=invoice, amount=Decimal(cash), request_id=uuid4(), **in_time)

    assert owed(invoice) == 0
    moved = balances()
    assert (moved["bank"], moved["discounts"]) == (cash, kept)
    assert moved.get("let_go", 0) == allowed
    assert "receivable" not in moved


def test_a_return_with_its_tax():
    # F9, read in a source of low authority: a credit of 214.00 with 7 percent is 200 and 14.
    NurseryFactory()
    TaxRate.objects.create(percent=7, valid_from=DAY)
    lot = lot_holding(10)
    invoice = sell_from(lot, 5, "100.00", buyer=BuyerFactory(), paid_by="transfer")
    next_day = DAY + timedelta(days=1)

    back = {"plants": [(lot, 2)], "on": next_day, "restock": True, "request_id": uuid4()}
    operations.take_back(document=invoice, **back)
    money = {"amount": Decimal("-214.00"), "method": "transfer", "request_id": uuid4()}
    operations.pay(document=invoice, on=next_day, **money)

    assert balances(next_day) == {"returns": 200, "tax": 14, "bank": -214}
