"""Deposits on the pages of holds: asked for, shown, used at hand-over, given back."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from sales.models import Document, Hold
from sales.operations import let_go_of_hold
from sales.queries.on_account import on_account
from sales.queries.owed import owed
from tests.factories import NurseryFactory, UserFactory, lot_holding
from tests.test_hold import TODAY, held
from tests.test_hold_deposit import figures, pay_ahead
from tests.test_hold_pages import page, typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


@pytest.fixture
def made(grower):
    """A hold of 12 plants at 7.50 each."""
    return held(lot_holding(20), 12, unit_price=Decimal("7.50"))


def post(grower, name, made, *args, **data):
    address = reverse(name, args=[made.pk, *args])
    data = {"on": TODAY.isoformat(), "request_id": uuid4()} | data
    return grower.post(address, data, follow=True).content.decode()


def taken(made, number, **data):
    return {f"line_{made.lines.get().pk}": number, "paid_by": "later"} | data


def test_a_deposit_is_taken_with_a_new_hold_and_undone_with_it(grower):
    data = typed(lot_holding(20), 12, deposit="50.00", deposit_by="cash")

    text = grower.post(reverse("sales:hold-add"), data, follow=True).content.decode()

    held = Hold.objects.get()
    assert "Deposit of $50.00 on their account" in text and figures(held) == (50, 0, 50)
    grower.post(reverse("sales:undo-hold", args=[held.changes.get().pk]))
    assert on_account(held.buyer) == 0


def test_a_deposit_that_cannot_be_is_said_beside_it_and_nothing_is_held(grower):
    data = typed(lot_holding(20), 12, deposit="-3")

    text = grower.post(reverse("sales:hold-add"), data).content.decode()

    assert "Enter an amount above nothing" in text and 'value="-3"' in text
    assert not Hold.objects.exists()


def test_a_deposit_is_taken_later_on_the_holds_page_and_undone(grower, made):
    text = post(grower, "sales:hold-deposit", made, "take", amount="50", method="card")

    assert "$50.00 left" in text and "What is held for" in text
    payment = made.deposits.get().payment
    text = grower.post(
        reverse("sales:undo-payment", args=[payment.pk]), follow=True
    ).content.decode()
    assert "What is held for" in text and figures(made) == (0, 0, 0)


def test_the_list_and_the_buyers_page_say_what_was_paid_ahead(grower, made):
    pay_ahead(made)

    assert "Deposit left" in page(grower, "sales:hold-list")
    text = page(grower, "sales:buyer", made.buyer.pk)
    assert "$50.00 of it is deposits for their holds" in text
    assert f"deposit for hold {made.pk}" in text and "Held for them" in text


def test_the_hand_over_says_what_the_deposit_pays(grower, made):
    pay_ahead(made)

    text = page(grower, "sales:hand-over", made.pk)
    assert "The invoice comes to $90.00" in text
    assert "The deposit pays $50.00 of it, and $40.00 is left to pay" in text

    text = post(grower, "sales:hand-over", made, **taken(made, 4, use_deposit="on", preview="1"))
    assert "The deposit pays $30.00 of it, so all of it is paid" in text
    assert not Document.objects.exists()


def test_the_deposit_pays_unless_it_is_unticked(grower, made):
    pay_ahead(made)

    post(grower, "sales:hand-over", made, **taken(made, 4))
    post(grower, "sales:hand-over", made, **taken(made, 8, use_deposit="on"))

    first, second = Document.objects.order_by("pk")
    assert (owed(first), owed(second)) == (30, 10)


def test_a_hold_let_go_offers_to_give_the_deposit_back(grower, made):
    pay_ahead(made)

    text = post(grower, "sales:hold-let-go", made)
    assert "The deposit, $50.00, stays on their account" in text
    assert reverse("sales:hold-deposit", args=[made.pk, "back"]) in text

    text = post(grower, "sales:hold-deposit", made, "back", amount="50", method="cash")
    assert "$50.00 of the deposit is given back" in text
    assert on_account(made.buyer) == 0


def test_who_may_not_take_money_is_refused(client, made):
    client.force_login(UserFactory())

    for kind in ("take", "back"):
        address = reverse("sales:hold-deposit", args=[made.pk, kind])
        assert client.post(address, {"amount": "5"}).status_code == 403


def test_a_hold_with_nothing_left_says_why_it_takes_no_deposit(grower, made):
    let_go_of_hold(hold=made, on=TODAY, request_id=uuid4())

    text = post(grower, "sales:hold-deposit", made, "take", amount="50", method="card")

    assert "keeps no plants any more" in text
    assert on_account(made.buyer) == Decimal(0)
