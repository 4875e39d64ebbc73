"""Paying: more or less than is owed, in cash, early, over several invoices, and back again."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from sales import operations
from sales.errors import SaleRefused
from sales.models import Payment
from sales.queries.on_account import on_account
from sales.queries.owed import owed
from tests.factories import DAY, BuyerFactory, NurseryFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def buyer():
    NurseryFactory(currency="CAD")
    return BuyerFactory(name="Thistle & Stone")


@pytest.fixture
def lot(buyer):
    return lot_holding(90)


def pay(document, amount, method="card", on=DAY, **more):
    facts = {"document": document, "method": method, "on": on, "request_id": uuid4()}
    return operations.pay(amount=Decimal(amount), **facts | more)


def rows_of(document):
    rows = document.payments.filter(reverses=None, reversed_by=None).order_by("pk")
    return [(row.method, str(row.amount.normalize())) for row in rows]


def test_what_is_over_goes_where_it_is_said_to_go(buyer, lot):
    invoices = [sell_from(lot, 4, buyer=buyer) for _ in range(2)]

    with pytest.raises(SaleRefused, match=r"CA\$40.00 is owed.*CA\$10.00 more"):
        pay(invoices[0], "50")
    pay(invoices[0], "50", rest="account")
    pay(invoices[1], "50", rest="change")

    assert [owed(row) for row in invoices] == [0, 0]
    assert on_account(buyer) == 10


def test_a_walk_in_has_no_account_for_what_is_over(lot):
    with pytest.raises(SaleRefused, match=r"give CA\$10.00 back"):
        pay(sell_from(lot, 4), "50", rest="account")


def test_what_is_under_stays_owed_or_is_let_go_with_a_reason(buyer, lot):
    kept, gone = (sell_from(lot, 4, buyer=buyer) for _ in range(2))

    pay(kept, "30")
    payment = pay(gone, "30", let_go="two plants were bruised")

    assert (owed(kept), owed(gone)) == (10, 0)
    assert gone.payments.get(method="allowance").note == "two plants were bruised"
    operations.undo_payment(payment=payment, request_id=uuid4())
    assert owed(gone) == 40


def test_cash_settles_the_whole_as_cash_can_pay_it(buyer, lot):
    invoice = sell_from(lot, 3, "8.34", buyer=buyer)

    with pytest.raises(SaleRefused, match=r"CA\$25.00 would be right"):
        pay(invoice, "25.02", "cash")
    pay(invoice, "25", "cash")

    assert rows_of(invoice) == [("cash", "25"), ("rounding", "0.02")]
    assert owed(invoice) == 0


def test_a_part_in_cash_rounds_nothing(buyer, lot):
    invoice = sell_from(lot, 3, "8.34", buyer=buyer)
    pay(invoice, "20", "cash")

    assert rows_of(invoice) == [("cash", "2E+1")]
    assert owed(invoice) == Decimal("5.02")


def test_money_goes_back_after_a_return_and_no_more_than_came(buyer, lot):
    invoice = sell_from(lot, 3, "8.34", buyer=buyer, paid_by="card")
    operations.take_back(
        document=invoice, plants=[(lot, 1)], on=DAY, restock=True, request_id=uuid4()
    )
    assert owed(invoice) == Decimal("-8.34")

    with pytest.raises(SaleRefused, match=r"25.02 was paid.*30.00 cannot be paid back"):
        pay(invoice, "-30")
    back = pay(invoice, "-8.35", "cash")

    assert rows_of(invoice)[1:] == [("cash", "-8.35"), ("rounding", "0.01")]
    assert owed(invoice) == 0
    operations.undo_payment(payment=back, request_id=uuid4())
    assert owed(invoice) == Decimal("-8.34")


def test_one_amount_pays_the_longest_due_first_and_is_undone_together(buyer, lot):
    invoices = [sell_from(lot, 3, "8.34", buyer=buyer) for _ in range(3)]
    facts = {"buyer": buyer, "documents": invoices, "on": DAY, "request_id": uuid4()}

    for _ in range(2):
        head = operations.pay_several(amount=Decimal(40), method="cheque", **facts)

    assert [owed(row) for row in invoices] == [0, Decimal("10.04"), Decimal("25.02")]
    operations.undo_payment(payment=invoices[1].payments.get(), request_id=uuid4())
    assert sum(owed(row) for row in invoices) == Decimal("75.06")
    assert Payment.objects.filter(reverses=None).count() == 2 and head.part_of is None


def test_cash_for_several_is_rounded_once(buyer, lot):
    invoices = [sell_from(lot, 3, "8.34", buyer=buyer) for _ in range(3)]
    facts = {"buyer": buyer, "documents": invoices, "on": DAY, "request_id": uuid4()}

    operations.pay_several(amount=Decimal("75.05"), method="cash", **facts)

    assert [owed(row) for row in invoices] == [0, 0, 0]
    assert rows_of(invoices[2]) == [("cash", "25.01"), ("rounding", "0.01")]


def test_another_buyers_invoice_is_refused(buyer, lot):
    facts = {"buyer": buyer, "documents": [sell_from(lot, 3, buyer=BuyerFactory())]}

    with pytest.raises(SaleRefused, match="invoices of Thistle & Stone only"):
        operations.pay_several(
            amount=Decimal(5), method="card", on=DAY, request_id=uuid4(), **facts
        )


def test_a_discount_is_for_the_whole_and_in_time(lot):
    early = BuyerFactory(discount_percent=2, discount_days=10)
    invoice = sell_from(lot, 10, buyer=early)
    late = DAY + timedelta(days=11)

    with pytest.raises(SaleRefused, match=r"CA\$98.00 would be right"):
        pay(invoice, "60", discount=True)
    with pytest.raises(SaleRefused, match="granted on that day"):
        pay(invoice, "98", discount=True, on=late)
    pay(invoice, "98", discount=True, on=DAY + timedelta(days=10))

    assert rows_of(invoice) == [("card", "98"), ("discount", "2")]


def test_a_part_is_let_go_once_and_with_a_reason(buyer, lot):
    invoice = sell_from(lot, 4, buyer=buyer)
    facts = {"document": invoice, "on": DAY, "request_id": uuid4()}

    with pytest.raises(SaleRefused, match="Say why"):
        operations.let_go(amount=Decimal(5), note=" ", **facts)
    with pytest.raises(SaleRefused, match=r"CA\$40.00 is owed"):
        operations.let_go(amount=Decimal(41), note="scratched pots", **facts)
    for _ in range(2):
        operations.let_go(amount=Decimal(5), note="scratched pots", **facts)

    assert owed(invoice) == 35


def test_undoing_one_sale_of_several_paid_together_leaves_its_money_on_account(buyer, lot):
    first, second = (sell_from(lot, 4, buyer=buyer) for _ in range(2))
    facts = {"buyer": buyer, "documents": [first, second], "on": DAY, "request_id": uuid4()}
    operations.pay_several(amount=Decimal(80), method="cheque", **facts)
    request_id = uuid4()

    for _ in range(2):
        operations.undo_sale(document=second, request_id=request_id)

    assert (owed(first), on_account(buyer)) == (0, 40)
    assert sum(row.amount for row in second.payments.all()) == 0
