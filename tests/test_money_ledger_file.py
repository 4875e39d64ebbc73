"""Money in the ledger file: accounts, rounding, discounts, what was let go, terms."""

from collections import Counter
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.models import Nursery
from nursery.money import from_millionths
from sales import operations
from sales.ledger_file.rows import RowError
from sales.models import Buyer
from sales.queries.journal import journal
from sales.queries.on_account import on_account
from sales.reports import REPORTS
from tests.factories import DAY, BuyerFactory, lot_holding, sell_from
from tests.test_ledger_file import assert_survives_the_way_out_and_in, exported, left_behind, read

pytestmark = pytest.mark.django_db


def lived_in():
    """Fill a ledger with every way to pay, some of it undone."""
    Nursery.objects.update(currency="CAD")
    lot = lot_holding(90)
    buyer = BuyerFactory(
        name="Thistle & Stone", terms_days=14, discount_percent=Decimal("2.5"), discount_days=5
    )
    facts = {"on": DAY, "by": None}
    invoices = [sell_from(lot, 4, "10.01", buyer=buyer) for _ in range(4)]
    sell_from(lot, 1, "4.92", paid_by="cash")
    paid = {"buyer": buyer, "amount": Decimal(60), "method": "card", "note": "for May"}
    undone = operations.take_on_account(request_id=uuid4(), **paid, **facts)
    operations.undo_payment(payment=undone, request_id=uuid4())
    operations.take_on_account(request_id=uuid4(), **paid, **facts)
    use = {"amount": Decimal(30), "request_id": uuid4()}
    operations.use_account(document=invoices[0], **use, **facts)
    less = {"amount": Decimal(3), "note": "scratched pots", "request_id": uuid4()}
    operations.let_go(document=invoices[1], **less, **facts)
    early = {"amount": Decimal("39.04"), "method": "transfer", "discount": True}
    operations.pay(document=invoices[2], request_id=uuid4(), **early, **facts)
    many = {"amount": Decimal(60), "method": "cash", "rest": "account", "request_id": uuid4()}
    operations.pay_several(buyer=buyer, documents=invoices[:2], **many, **facts)
    Buyer.objects.update(terms_days=60, discount_percent=0)
    buyer.refresh_from_db()
    sell_from(lot, 1, buyer=buyer)
    back = {"amount": Decimal("10.03"), "method": "cash", "request_id": uuid4()}
    operations.give_back(buyer=buyer, **back, **facts)


def test_every_way_to_pay_survives_the_way_out_and_in():
    assert_survives_the_way_out_and_in(lived_in, DAY, DAY + timedelta(days=40))


def test_an_account_is_what_it_was_after_an_import():
    with left_behind():
        lived_in()
        file, before = exported(), on_account(Buyer.objects.get())

    assert ",terms," in file and before > 0
    read(file)

    buyer = Buyer.objects.get()
    assert on_account(buyer) == before
    assert (buyer.terms_days, buyer.discount_percent) == (60, 0)


def test_the_journal_agrees_with_what_is_owed_and_with_the_accounts():
    lived_in()
    sums = Counter()
    for entry in journal():
        sums.update({line.account: line.amount for line in entry.lines()})

    owed = sum(row["owed"] for row in REPORTS["owed"]())
    assert from_millionths(sums["receivable"]) == owed > 0
    assert from_millionths(-sums["deposits"]) == on_account(Buyer.objects.get())
    assert sum(sums.values()) == 0


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("terms,,30,,,", "column buyer: empty"),
        ("terms,Fen & Sons,1.5,,,", "column quantity: write whole days"),
        ("terms,Fen & Sons,30,100,10,", "column price: a discount is less than 100"),
        ("payment,Fen & Sons,,,5,discount", "column treatment"),
        ("payment,Fen & Sons,,,-5,cash", "column amount: the account of Fen & Sons would hold"),
    ],
)
def test_a_wrong_row_says_what_would_be_right(row, words):
    with pytest.raises(RowError, match=f"line 2, {words}"):
        read(f"date,event,buyer,quantity,price,amount,treatment\n2025-04-10,{row}\n")
