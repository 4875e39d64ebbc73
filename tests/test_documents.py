"""Invoices and credit notes: the list, the page, payments, returns, undoing."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations as growing
from inventory.models import LotBalance, Movement
from sales import operations
from sales.models import Document, Payment, TaxRate
from sales.queries.document_list import owed_and_overdue
from sales.queries.document_page import plants_out, standing_of, traced_lines_of
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    UserFactory,
    cause,
    lot_holding,
    sell_from,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    """Log in at a nursery with a tax of 6 percent."""
    NurseryFactory()
    TaxRate.objects.create(percent=Decimal(6), valid_from=date(2020, 1, 1))
    client.force_login(UserFactory(is_superuser=True))
    return client


def invoice(quantity=4, price="10.00", **more):
    """Return an invoice for plants of a lot of twenty; 4 at 10.00 come to 42.40 with tax."""
    lot = lot_holding(20, more.pop("code", "L1"), medium="30.00")
    return sell_from(lot, quantity, price, buyer=more.pop("buyer", None) or BuyerFactory(), **more)


def page_of(client, name, document, **query):
    return client.get(
        reverse(f"sales:{name}", args=[document.pk]), query, follow=True
    ).content.decode()


def post(client, name, thing, **data):
    """Post a form as a browser would, with its request id and today."""
    data = {"request_id": str(uuid4()), "on": date.today().isoformat()} | data
    return client.post(reverse(f"sales:{name}", args=[thing.pk]), data, follow=True)


def pay(document, amount, **more):
    return operations.pay(
        document=document,
        amount=Decimal(amount),
        method=more.get("method", "cheque"),
        on=DAY,
        request_id=uuid4(),
    )


def test_the_list_asks_for_a_login(client):
    UserFactory()

    assert "login" in client.get(reverse("sales:document-list")).url


def test_the_list_says_what_is_owed_in_all(office):
    pay(invoice(code="L1"), "2.40")
    sell_from(lot_holding(5, "L2"), 1, paid_by="cash")

    page = office.get(reverse("sales:document-list")).content.decode()

    assert "$40.00" in page
    assert "partly paid" in page and "walk-in" in page


@pytest.mark.parametrize(
    "query, shown",
    [
        ({"state": "open"}, {"open"}),
        ({"state": "paid"}, {"paid"}),
        ({"state": "cancelled"}, {"undone"}),
        ({"state": "credit"}, {"credit"}),
        ({"since": "2025-04-11"}, {"credit"}),
        ({"until": "2025-04-09"}, set()),
        ({}, {"open", "paid", "undone", "credit"}),
    ],
)
def test_the_list_is_narrowed(office, query, shown):
    documents = {
        "open": invoice(code="L1"),
        "paid": invoice(code="L2"),
        "undone": invoice(code="L3"),
    }
    pay(documents["paid"], "21.20")
    documents["credit"] = take_back(documents["paid"], 2)
    operations.undo_sale(document=documents["undone"], request_id=uuid4())

    rows = office.get(reverse("sales:document-list"), query).context["table"].data

    assert {row.number for row in rows} == {documents[name].number for name in shown}


def take_back(document, quantity, on=DAY + timedelta(days=1)):
    lot = plants_out(document)[0][0]
    return operations.take_back(
        document=document, plants=[(lot, quantity)], on=on, restock=True, request_id=uuid4()
    )


def test_the_list_is_saved_as_a_file(office):
    invoice(buyer=BuyerFactory(name="=Sum Gardens"))

    csv = office.get(reverse("sales:document-list"), {"_export": "csv"}).content.decode()

    assert "'=Sum Gardens" in csv, "a spreadsheet must not run it"
    assert "42.4" in csv


def test_what_a_cancelled_sale_received_is_to_be_paid_back(office):
    document = invoice()
    pay(document, "12.40")
    # Undone from the growing side: the plants are back, the money is still here.
    operation = Movement.objects.get(take__line__document=document).operation
    growing.reverse(operation=operation, request_id=uuid4())

    assert standing_of(document).open == Decimal("-12.40")
    assert owed_and_overdue(DAY) == (0, 0)
    assert "$12.40 was received and is to be paid back" in page_of(office, "document", document)


def test_the_page_names_lots_and_batches_with_shares(office):
    lot = lot_holding(10, "L-30", batch="B-30")
    other = lot_holding(30, "L-10", plant=lot.plant, batch="B-10")
    growing.blend(lot=other, to_lot=lot, on=DAY, request_id=uuid4())
    document = sell_from(lot, 4, on=DAY, buyer=BuyerFactory())

    origin = traced_lines_of(document)[0].origins[0]

    assert (origin.lot, origin.quantity) == (lot, 4)
    # 10 and 30 plants together: one quarter and three quarters of each plant taken.
    assert [(batch.code, str(share)) for batch, share in origin.batches] == [
        ("B-10", "3/4"),
        ("B-30", "1/4"),
    ]
    page = page_of(office, "document", document)
    assert "75%" in page and "25%" in page


def test_a_credit_note_traces_back_as_the_sale_does(office):
    credit = take_back(invoice(), 1)

    (line,) = traced_lines_of(credit)

    assert [batch.code for batch, _ in line.origins[0].batches] == ["B-L1"]
    assert "credited on" in page_of(office, "document", credit)


def test_the_page_that_follows_a_sale_shows_the_change(office):
    document = invoice()

    assert "$7.60" in page_of(office, "document", document, sold="now", given="50")
    for given in ("abc", "-5", "1", "NaN"):
        assert "change to give back" not in page_of(office, "document", document, given=given)


def test_a_payment_starts_with_what_is_open_and_may_be_a_part(office):
    document = invoice()
    assert 'value="42.40"' in page_of(office, "pay", document)

    page = post(office, "pay", document, amount="20", method="card").content.decode()

    assert "$22.40" in page and "$20.00 received by card" in page
    assert 'value="22.40"' in page_of(office, "pay", document)


def test_more_than_is_owed_is_refused_and_kept(office):
    page = post(office, "pay", invoice(), amount="50", method="cash").content.decode()

    assert "42.40 is owed" in page and 'value="50"' in page
    assert not Payment.objects.exists()


def test_a_payment_pressed_twice_counts_once(office):
    document, request_id = invoice(), str(uuid4())

    for _ in range(2):
        post(office, "pay", document, amount="20", method="card", request_id=request_id)

    assert Payment.objects.count() == 1


def test_a_payment_is_undone_once_however_often_it_is_pressed(office):
    payment = pay(invoice(), "20")

    for _ in range(2):
        page = post(office, "undo-payment", payment).content.decode()

    assert "It is open again" in page
    assert standing_of(payment.document).open == Decimal("42.40")
    assert Payment.objects.count() == 2


def test_plants_taken_back_are_credited_with_their_tax(office):
    document = invoice()
    (lot, _) = plants_out(document)[0]

    post(office, "take-back", document, what_then="restock", **{f"back_{lot.pk}": "1"})

    credit = Document.objects.get(corrects=document)
    assert (credit.net, credit.tax) == (Decimal(10), Decimal("0.60"))
    assert LotBalance.objects.get(lot=lot).on_hand == 17
    assert plants_out(document) == [(lot, 3)]


def test_plants_thrown_away_need_a_cause_and_are_lost(office):
    document = invoice()
    (lot, _) = plants_out(document)[0]
    back = {f"back_{lot.pk}": "1", "what_then": "discard"}

    page = post(office, "take-back", document, **back).content.decode()
    assert "Say why they are thrown away" in page
    assert not Document.objects.filter(kind="credit").exists()

    damage = cause("damage")
    post(office, "take-back", document, **back, cause=str(damage.pk))
    assert Movement.objects.get(kind="lost_abnormal").cause == damage
    assert LotBalance.objects.get(lot=lot).on_hand == 16


def test_more_than_are_out_cannot_come_back(office):
    document = invoice()
    (lot, _) = plants_out(document)[0]

    answer = post(office, "take-back", document, what_then="restock", **{f"back_{lot.pk}": "5"})

    page = answer.content.decode()
    assert "4 of lot L1 are out; enter 4 or fewer." in page
    assert 'value="5"' in page
    assert not Document.objects.filter(kind="credit").exists()


def test_nothing_back_is_refused(office):
    page = post(office, "take-back", invoice(), what_then="restock").content.decode()

    assert "Say how many plants came back" in page


def test_an_undone_sale_keeps_its_number_and_says_so(office):
    document = invoice()
    pay(document, "42.40")

    post(office, "undo-sale", document)

    page = page_of(office, "document", document)
    assert "Cancelled." in page and "The number stays used" in page
    assert standing_of(document).open == 0
    assert sell_from(lot_holding(1, "L9"), 1).number != document.number


def test_a_sale_whose_plants_came_back_says_what_to_undo_first(office):
    document = invoice()
    take_back(document, 1)

    page = post(office, "undo-sale", document).content.decode()

    assert "Undo the return first" in page
    assert not standing_of(document).cancelled


def test_undo_warns_of_a_paper_already_handed_over(office):
    page = page_of(office, "document", invoice())

    assert "stays used" in page
    assert "Does the buyer hold the paper already?" in page


@pytest.mark.parametrize("name", ["undo-sale", "undo-payment"])
def test_undoing_is_a_post(office, name):
    assert office.get(reverse(f"sales:{name}", args=[1])).status_code == 405


def test_pages_ask_a_steady_number_of_questions(office, django_assert_max_num_queries):
    for number in range(30):
        pay(invoice(code=f"L{number}"), "1.00")
    document = Document.objects.first()

    with django_assert_max_num_queries(12):
        office.get(reverse("sales:document-list"))
    with django_assert_max_num_queries(22):
        office.get(reverse("sales:document", args=[document.pk]))


def test_money_and_returns_are_closed_to_a_person_who_may_not_sell(client):
    client.force_login(UserFactory())
    document = invoice()

    assert client.get(reverse("sales:document", args=[document.pk])).status_code == 200
    for name in ("pay", "take-back", "undo-sale"):
        assert client.post(reverse(f"sales:{name}", args=[document.pk])).status_code == 403
    assert not standing_of(document).cancelled
