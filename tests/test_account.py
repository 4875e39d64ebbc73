"""Money on a buyer's account: a deposit, its use for an invoice, and back again."""

from datetime import timedelta
from decimal import Decimal
from io import StringIO
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from inventory.errors import PeriodClosed
from inventory.operations.closing import close_period
from sales import operations
from sales.errors import SaleRefused
from sales.ledger_file.exporting import export_ledger
from sales.ledger_file.importing import import_ledger
from sales.ledger_file.rows import RowError
from sales.models import Document, Payment
from sales.queries.on_account import free_on_account, on_account
from sales.queries.owed import owed
from sales.queries.proof import account_differences
from tests.factories import DAY, BuyerFactory, NurseryFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def buyer():
    NurseryFactory()
    return BuyerFactory(name="Thistle & Stone")


def deposit(buyer, amount="50", on=DAY, method="transfer", **more):
    return operations.take_on_account(
        buyer=buyer,
        amount=Decimal(amount),
        method=method,
        on=on,
        **{"request_id": uuid4()} | more,
    )


def use(document, amount, on=DAY, **more):
    return operations.use_account(
        document=document, amount=Decimal(amount), on=on, **{"request_id": uuid4()} | more
    )


def test_a_deposit_lies_on_the_account_until_it_is_used(buyer):
    deposit(buyer)
    invoice = sell_from(lot_holding(20), 4, buyer=buyer)

    use(invoice, "30")

    assert on_account(buyer) == Decimal(20)
    assert owed(invoice) == Decimal(10)
    assert sum(row.amount for row in Payment.objects.all()) == Decimal(50)


@pytest.mark.parametrize(
    ("asked", "words"),
    [("30.01", r"\$30.00 is free on the account; \$30.01 is more"), ("-1", "above nothing")],
)
def test_a_sale_uses_no_more_of_a_deposit_than_is_there(buyer, asked, words):
    deposit(buyer, "30")
    deposit(buyer, "90", on=DAY + timedelta(days=1))
    lot = lot_holding(20)

    with pytest.raises(SaleRefused, match=words):
        sell_from(lot, 9, buyer=buyer, deposit=Decimal(asked))

    assert not Document.objects.exists() and on_account(buyer) == Decimal(120)
    invoice = sell_from(lot, 9, buyer=buyer, deposit=Decimal(30))
    assert (on_account(buyer), owed(invoice)) == (Decimal(90), Decimal(60))


def test_a_walk_in_has_no_deposit(buyer):
    with pytest.raises(SaleRefused, match="sold to a walk-in, who has no account"):
        sell_from(lot_holding(20), 4, deposit=Decimal(5))


def test_the_same_request_writes_once(buyer):
    invoice, same = sell_from(lot_holding(20), 4, buyer=buyer), {"request_id": uuid4()}
    first = [deposit(buyer, **same) for _ in range(2)]
    again = {"request_id": uuid4()}
    pair = [use(invoice, "30", **again) for _ in range(2)]

    assert first[0] == first[1] and pair[0] == pair[1]
    assert Payment.objects.count() == 3


def test_more_than_lies_there_or_is_owed_is_refused(buyer):
    deposit(buyer, "15")
    invoice = sell_from(lot_holding(20), 1, buyer=buyer)

    with pytest.raises(SaleRefused, match=r"\$10.00 is owed on"):
        use(invoice, "12")
    with pytest.raises(SaleRefused, match=r"\$15.00 is free on the account"):
        use(sell_from(lot_holding(20, "L2"), 2, buyer=buyer), "20")
    with pytest.raises(SaleRefused, match="no account"):
        use(sell_from(lot_holding(20, "L3"), 2), "20")
    with pytest.raises(SaleRefused, match="not an amount"):
        deposit(buyer, "0")


def test_a_deposit_of_tomorrow_is_not_used_today(buyer):
    deposit(buyer, on=DAY + timedelta(3))
    invoice = sell_from(lot_holding(20), 1, buyer=buyer)

    with pytest.raises(SaleRefused, match="is free on the account"):
        use(invoice, "10")
    use(invoice, "10", on=DAY + timedelta(3))
    assert free_on_account(buyer, DAY) == 0 and on_account(buyer) == Decimal(40)


def test_undoing_a_use_puts_the_money_back(buyer):
    deposit(buyer)
    invoice = sell_from(lot_holding(20), 4, buyer=buyer)
    head = use(invoice, "30")

    # Undone from the side of the document or of the account, it is the same.
    operations.undo_payment(payment=invoice.payments.get(), request_id=uuid4())

    assert (on_account(buyer), owed(invoice)) == (Decimal(50), Decimal(40))
    with pytest.raises(SaleRefused, match="undone already"):
        operations.undo_payment(payment=head, request_id=uuid4())


def test_a_deposit_that_is_used_is_not_undone_before_its_use(buyer):
    paid = deposit(buyer)
    used = use(sell_from(lot_holding(20), 4, buyer=buyer), "30")

    with pytest.raises(SaleRefused, match="Undo that use first"):
        operations.undo_payment(payment=paid, request_id=uuid4())
    for payment in (used, paid):
        operations.undo_payment(payment=payment, request_id=uuid4())

    assert on_account(buyer) == 0


def test_a_deposit_is_given_back(buyer):
    deposit(buyer)
    request = {"buyer": buyer, "amount": Decimal(50), "method": "cheque", "request_id": uuid4()}

    back = [operations.give_back(on=DAY, **request) for _ in range(2)]

    assert back[0] == back[1] and back[0].amount == -50
    assert on_account(buyer) == 0
    with pytest.raises(SaleRefused, match=r"\$0.00 is free"):
        operations.give_back(on=DAY, **request | {"request_id": uuid4()})
    operations.undo_payment(payment=back[0], request_id=uuid4())
    assert on_account(buyer) == 50


def test_what_is_to_be_paid_back_may_stay_on_the_account(buyer):
    lot = lot_holding(20)
    invoice = sell_from(lot, 4, buyer=buyer, paid_by="card")
    operations.take_back(
        document=invoice, plants=[(lot, 1)], on=DAY, restock=True, request_id=uuid4()
    )
    kept = {"document": invoice, "on": DAY, "request_id": uuid4()}

    with pytest.raises(SaleRefused, match=r"\$10.00 is to be paid back"):
        operations.keep_on_account(amount=Decimal(11), **kept)
    for _ in range(2):
        operations.keep_on_account(amount=Decimal(10), **kept)

    assert (on_account(buyer), owed(invoice)) == (Decimal(10), 0)


def test_undoing_a_sale_gives_the_deposit_free_again(buyer):
    deposit(buyer)
    invoice = sell_from(lot_holding(20), 4, buyer=buyer)
    use(invoice, "30")
    request_id = uuid4()

    for _ in range(2):
        operations.undo_sale(document=invoice, request_id=request_id)

    assert on_account(buyer) == 50
    assert sum(row.amount for row in invoice.payments.all()) == 0


def test_a_closed_day_takes_no_money(buyer):
    paid = deposit(buyer)
    close_period(last_day=DAY, request_id=uuid4())

    with pytest.raises(PeriodClosed):
        deposit(buyer)
    with pytest.raises(PeriodClosed):
        operations.undo_payment(payment=paid, request_id=uuid4())


def test_a_payment_on_a_document_and_an_account_is_refused_by_the_database(buyer):
    invoice = sell_from(lot_holding(20), 4, buyer=buyer)

    with pytest.raises(IntegrityError, match=r"CHECK|stands_in_one_place"), transaction.atomic():
        Payment.objects.create(
            document=invoice,
            buyer=buyer,
            date=DAY,
            method="cash",
            amount=Decimal(1),
            request_id=uuid4(),
        )


def test_money_on_account_survives_the_ledger_file(buyer, tmp_path):
    deposit(buyer)
    invoice = sell_from(lot_holding(20), 4, buyer=buyer)
    use(invoice, "30")
    file = StringIO()
    export_ledger(file)

    lines = [line for line in file.getvalue().splitlines() if ",payment," in line]
    assert [line.split(",")[10:16] for line in lines] == [
        ["50.00", "", "transfer", "Thistle & Stone", "", ""],
        ["30.00", "", "account", "", "", invoice.number],
    ]


def test_an_account_below_nothing_is_named_by_the_proof_and_by_an_import(buyer, tmp_path):
    Payment.objects.create(
        buyer=buyer, date=DAY, method="card", amount=Decimal(-3), request_id=uuid4()
    )
    words = "The account of Thistle & Stone held -3 on"

    assert next(account_differences()).startswith(words)
    file = tmp_path / "history.csv"
    file.write_text(
        "date,event,buyer,amount,treatment\n2025-04-11,payment,Thistle & Stone,-1,cash\n"
    )
    with pytest.raises(RowError, match=r"line 2, column amount: .* would hold -3"):
        import_ledger(file)
