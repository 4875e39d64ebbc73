"""Buyers: the list with what each owes, one buyer's page, adding and changing."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from sales import operations
from sales.models import Buyer, TaxRate
from sales.queries.buyers import bought_by, listed_buyers
from sales.queries.document_page import plants_out
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    UserFactory,
    exempt_buyer,
    lot_holding,
    sell_from,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    NurseryFactory()
    TaxRate.objects.create(percent=Decimal(6), valid_from=date(2020, 1, 1))
    client.force_login(UserFactory(is_superuser=True))
    return client


def typed(**more):
    return {
        "request_id": str(uuid4()),
        "name": "Fallow Grounds",
        "kind": "landscaper",
        "terms_days": "30",
    } | more


def add(client, **more):
    return client.post(reverse("sales:buyer-add"), typed(**more), follow=True)


def test_buyers_ask_for_a_login(client):
    UserFactory()

    assert "login" in client.get(reverse("sales:buyers")).url


def test_what_a_buyer_owes_is_invoices_less_credits_and_payments(office):
    buyer = BuyerFactory()
    first = sell_from(lot_holding(20, "L1"), 4, buyer=buyer)
    undone = sell_from(lot_holding(20, "L2"), 5, buyer=buyer)
    sell_from(lot_holding(20, "L3"), 7, buyer=BuyerFactory())
    operations.pay(
        document=first, amount=Decimal("12.40"), method="card", on=DAY, request_id=uuid4()
    )
    operations.take_back(
        document=first,
        plants=[(plants_out(first)[0][0], 1)],
        on=DAY,
        restock=True,
        request_id=uuid4(),
    )
    operations.undo_sale(document=undone, request_id=uuid4())

    row = listed_buyers(DAY).get(pk=buyer.pk)

    # 4 at 10.00 and 6 percent are 42.40; less 10.60 that came back, less 12.40 paid.
    assert row.owed == Decimal("19.40")
    assert row.bought == Decimal("30.00")
    page = office.get(reverse("sales:buyers"), {"owing": "yes"}).content.decode()
    assert "19.40" in page


def test_a_buyers_page_shows_history_and_favourites(office):
    buyer = exempt_buyer(address="9 Mill Rise")
    lot = lot_holding(20)
    document = sell_from(lot, 4, "11.00", buyer=buyer, on=DAY)
    sell_from(lot, 2, "12.00", buyer=buyer, on=DAY + timedelta(days=1))

    page = office.get(reverse("sales:buyer", args=[buyer.pk])).content.decode()

    assert document.number in page and "9 Mill Rise" in page and "E-17" in page
    assert "$68.00" in page, "owed: 44 and 24, exempt"
    (row,) = bought_by([buyer])
    assert (row.quantity, row.last_price) == (6, Decimal(12))


def test_a_buyer_is_written_down_once_however_often_it_is_pressed(office):
    press = typed(address="9 Mill Rise")

    for _ in range(2):
        office.post(reverse("sales:buyer-add"), press)

    assert Buyer.objects.get().address == "9 Mill Rise"


def test_a_name_that_is_taken_is_refused_and_kept(office):
    BuyerFactory(name="Fallow Grounds")

    page = add(office, name="fallow grounds", phone="555 0100").content.decode()

    assert "There is a buyer called fallow grounds already" in page
    assert 'value="555 0100"' in page
    assert Buyer.objects.count() == 1


def test_a_buyer_is_changed_and_old_invoices_are_not(office):
    buyer = BuyerFactory(terms_days=30)
    document = sell_from(lot_holding(5), 1, buyer=buyer)

    office.post(
        reverse("sales:buyer-edit", args=[buyer.pk]), typed(name=buyer.name, terms_days="7")
    )

    buyer.refresh_from_db()
    document.refresh_from_db()
    assert buyer.terms_days == 7
    assert document.due_on == DAY + timedelta(days=30)


@pytest.mark.parametrize("days", ["-1", "4000", "soon"])
def test_days_to_pay_that_cannot_be_are_refused(office, days):
    page = add(office, terms_days=days).content.decode()

    assert "Nothing was saved yet" in page and f'value="{days}"' in page


def test_the_list_asks_a_steady_number_of_questions(office, django_assert_max_num_queries):
    lot = lot_holding(100)
    for _ in range(30):
        sell_from(lot, 1, buyer=BuyerFactory())

    with django_assert_max_num_queries(12):
        office.get(reverse("sales:buyers"))
    with django_assert_max_num_queries(18):
        office.get(reverse("sales:buyer", args=[Buyer.objects.first().pk]))


def test_writing_down_is_closed_to_a_person_who_may_not(client):
    client.force_login(UserFactory())

    assert add(client).status_code == 403
    assert not Buyer.objects.exists()
