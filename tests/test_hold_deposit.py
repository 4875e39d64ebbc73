"""A deposit on a hold: it lies on the buyer's account until an invoice of the hold uses it."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from inventory.models import Nursery
from sales.errors import SaleRefused
from sales.models import HoldDeposit, Payment
from sales.operations import (
    DepositPaid,
    Wanted,
    give_deposit_back,
    hold,
    keep_on_account,
    let_go_of_hold,
    sell_held,
    take_back,
    take_deposit,
    undo_hold_change,
    undo_payment,
    undo_sale,
)
from sales.queries.deposits import deposit_of, free_beside_deposits
from sales.queries.on_account import on_account
from sales.queries.owed import owed
from tests.checks.test_journal_cases import balances
from tests.factories import BuyerFactory, NurseryFactory, lot_holding, sell_from
from tests.ledger_figures import assert_the_books_are_right
from tests.test_hold import MARCH, TODAY, held
from tests.test_ledger_file import exported, left_behind, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def made():
    """A hold of 12 plants at 7.50 each."""
    NurseryFactory()
    return held(lot_holding(20), 12, unit_price=Decimal("7.50"))


def pay_ahead(made, amount="50", method="transfer", **more):
    return take_deposit(
        hold=made,
        amount=Decimal(amount),
        method=method,
        on=TODAY,
        **{"request_id": uuid4()} | more,
    )


def give_back(made, amount):
    return give_deposit_back(
        hold=made, amount=Decimal(amount), method="cash", on=TODAY, request_id=uuid4()
    )


def hand_over(made, number, **more):
    numbers = {made.lines.get(): number}
    return sell_held(hold=made, numbers=numbers, on=TODAY, request_id=uuid4(), **more)


def figures(made):
    """What was paid ahead, used of it, and left."""
    found = deposit_of(made, TODAY)
    return tuple(map(int, (found.paid, found.used, found.left)))


def test_a_deposit_lies_on_the_buyers_account(made):
    pay_ahead(made)

    assert figures(made) == (50, 0, 50)
    assert on_account(made.buyer) == 50


def test_the_same_request_takes_it_once(made):
    same = {"request_id": uuid4()}

    first, second = (pay_ahead(made, **same) for _ in range(2))

    assert first == second
    assert figures(made) == (50, 0, 50)


def test_each_part_handed_over_uses_what_is_left_of_it(made):
    pay_ahead(made)

    first = hand_over(made, 4)
    assert (owed(first), figures(made)) == (0, (50, 30, 20)), "30.00 of 30.00"

    second = hand_over(made, 8)
    assert (owed(second), figures(made)) == (40, (50, 50, 0)), "20.00 of 60.00"
    assert_the_books_are_right()


def test_what_the_deposit_leaves_is_paid_at_once(made):
    pay_ahead(made)

    document = hand_over(made, 12, paid_by="card")

    assert owed(document) == 0
    amounts = document.payments.order_by("pk").values_list("method", "amount")
    assert list(amounts) == [("account", 50), ("card", 40)]


def test_it_is_left_alone_where_the_grower_says_so(made):
    pay_ahead(made)

    document = hand_over(made, 4, use_deposit=False)

    assert (owed(document), figures(made)) == (30, (50, 0, 50))


def test_undoing_the_sale_gives_the_deposit_back(made):
    pay_ahead(made)
    document = hand_over(made, 12, paid_by="cash")

    undo_sale(document=document, request_id=uuid4())

    assert (figures(made), on_account(made.buyer)) == ((50, 0, 50), 50)
    assert_the_books_are_right()


def test_another_sale_leaves_the_deposit_to_its_hold(made):
    pay_ahead(made)

    document = sell_from(
        lot_holding(5, "B"), 3, "10.00", buyer=made.buyer, on=TODAY, paid_by="account"
    )

    assert (owed(document), free_beside_deposits(made.buyer, TODAY)) == (30, 0)
    assert figures(made) == (50, 0, 50)


def test_taking_it_is_undone_until_it_is_used(made):
    payment = pay_ahead(made)
    document = hand_over(made, 4)

    with pytest.raises(SaleRefused, match="used from the account"):
        undo_payment(payment=payment, request_id=uuid4())

    undo_sale(document=document, request_id=uuid4())
    undo_payment(payment=payment, request_id=uuid4())
    assert figures(made) == (0, 0, 0)


def test_a_hold_let_go_leaves_the_money_on_the_account_to_be_paid_back(made):
    pay_ahead(made)
    let_go_of_hold(hold=made, on=TODAY, request_id=uuid4())

    assert (figures(made), free_beside_deposits(made.buyer, TODAY)) == ((50, 0, 50), 50)
    back = give_back(made, "50")
    assert (figures(made), on_account(made.buyer)) == ((0, 0, 0), 0)

    undo_payment(payment=back, request_id=uuid4())
    assert figures(made) == (50, 0, 50)


def test_no_more_goes_back_than_is_left(made):
    pay_ahead(made)
    hand_over(made, 4)

    with pytest.raises(SaleRefused, match=r"\$20.00 of the deposit is left; \$21.00 is more"):
        give_back(made, "21")


def test_what_is_rounded_in_cash_goes_back_with_it(made):
    Nursery.objects.update(cash_step=Decimal("0.05"))
    pay_ahead(made, "49.98")

    give_back(made, "49.98")

    assert deposit_of(made, TODAY).paid == 0


def test_a_hold_that_keeps_nothing_takes_no_deposit(made):
    let_go_of_hold(hold=made, on=TODAY, request_id=uuid4())

    with pytest.raises(SaleRefused, match="keeps no plants any more"):
        pay_ahead(made)

    assert not Payment.objects.exists()


def test_a_deposit_with_the_hold_is_undone_with_it():
    NurseryFactory()
    lot, buyer = lot_holding(20), BuyerFactory()
    wanted = [Wanted(lot.plant, lot.container, 12)]
    facts = {"buyer": buyer, "wanted": wanted, "until": MARCH, "on": TODAY}
    made = hold(deposit=DepositPaid(Decimal(50), "cash"), request_id=uuid4(), **facts)
    assert figures(made) == (50, 0, 50)

    undo_hold_change(change=made.changes.get(), on=TODAY, request_id=uuid4())

    assert (figures(made), on_account(buyer)) == ((0, 0, 0), 0)


def test_what_comes_back_of_an_invoice_is_no_deposit_again(made):
    pay_ahead(made)
    document = hand_over(made, 12, paid_by="card")
    lot = document.lines.get().takes.get().movement.from_lot
    plants = [(lot, 2)]
    take_back(document=document, plants=plants, on=TODAY, restock=True, request_id=uuid4())

    keep_on_account(document=document, amount=Decimal(15), on=TODAY, request_id=uuid4())

    assert figures(made) == (50, 50, 0)
    assert on_account(made.buyer) == 15


def test_the_journal_owes_the_deposit_until_plants_are_delivered(made):
    pay_ahead(made)
    before = balances()
    assert (before["bank"], before["deposits"], before.get("sales", 0)) == (50, -50, 0)

    hand_over(made, 4)

    after = balances()
    assert (after["bank"], after["deposits"], after["sales"]) == (50, -20, -30)
    assert "receivable" not in after, "the invoice is settled"


def test_a_payment_is_the_deposit_of_one_hold(made):
    payment = pay_ahead(made)

    with pytest.raises(IntegrityError), transaction.atomic():
        HoldDeposit.objects.create(hold=made, payment=payment)


def test_deposits_survive_the_way_out_and_in():
    with left_behind():
        made = held(lot_holding(20, "A"), 12, unit_price=Decimal("7.50"))
        pay_ahead(made)
        hand_over(made, 4)
        gone = held(lot_holding(5, "B"), 5)
        pay_ahead(gone, "10")
        let_go_of_hold(hold=gone, on=TODAY, request_id=uuid4())
        text = exported()

    read(text)

    joined = HoldDeposit.objects.get()
    assert figures(joined.hold) == (50, 30, 20)
    assert exported().count("\n") == text.count("\n")


def test_a_deposit_of_another_buyers_hold_is_refused():
    with left_behind():
        pay_ahead(held(lot_holding(20, "A"), 12))
        text = exported()
    row = next(line for line in text.splitlines() if ",payment," in line)
    cells = row.replace("Gardens by Number", "Somebody Else")

    with pytest.raises(Exception, match="no hold of that buyer has that key"):
        read(text.replace(row, cells))
