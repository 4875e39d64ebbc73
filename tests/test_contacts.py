"""The people at a buyer's, and the report of who buys."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from sales import operations
from sales.errors import SaleRefused
from sales.models import Contact
from sales.reports import REPORTS
from tests.factories import DAY, BuyerFactory, NurseryFactory, UserFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def person(buyer, **more):
    facts = {"name": "Rowan Pell", "role": "foreman", "phone": "555 0140", "request_id": uuid4()}
    return operations.add_contact(buyer=buyer, **(facts | more))


def test_a_person_is_added_once_however_often_it_is_sent():
    buyer, request_id = BuyerFactory(), uuid4()

    first = person(buyer, request_id=request_id)

    assert person(buyer, request_id=request_id) == first
    assert Contact.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "words"), [({"name": " "}, "name"), ({"phone": ""}, "can be reached")]
)
def test_a_person_without_name_or_way_to_reach_them_is_refused(typed, words):
    with pytest.raises(SaleRefused, match=words):
        person(BuyerFactory(), **typed)

    assert not Contact.objects.exists()


@pytest.mark.parametrize("facts", [{"name": "", "phone": "1"}, {"name": "Rowan"}])
def test_the_database_refuses_one_too(facts):
    with pytest.raises(IntegrityError), transaction.atomic():
        Contact.objects.create(buyer=BuyerFactory(), request_id=uuid4(), **facts)


def test_a_person_is_added_on_the_page_and_undone(office):
    buyer = BuyerFactory()
    typed = {"name": "Rowan Pell", "phone": "555 0140", "request_id": str(uuid4())}

    page = office.post(reverse("sales:contact-add", args=[buyer.pk]), typed, follow=True)
    assert b"Rowan Pell is written down" in page.content
    office.post(reverse("sales:contact-remove", args=[Contact.objects.get().pk]))

    assert b"tel:5550140" not in office.get(reverse("sales:buyer", args=[buyer.pk])).content


def test_one_who_was_taken_off_comes_back(office):
    buyer = BuyerFactory()
    rowan = person(buyer)

    office.post(reverse("sales:contact-remove", args=[rowan.pk]))
    office.post(reverse("sales:contact-back", args=[rowan.pk]))

    assert b"tel:5550140" in office.get(reverse("sales:buyer", args=[buyer.pk])).content


def test_what_was_typed_stays_where_it_is_refused(office):
    typed = {"name": "Rowan Pell", "request_id": str(uuid4())}

    page = office.post(reverse("sales:contact-add", args=[BuyerFactory().pk]), typed)

    assert b"can be reached" in page.content and b"Rowan Pell" in page.content


def test_people_are_closed_to_whom_may_not(client):
    rowan = person(BuyerFactory())
    client.force_login(UserFactory())

    assert client.get(reverse("sales:contact-add", args=[rowan.buyer_id])).status_code == 403
    assert client.post(reverse("sales:contact-remove", args=[rowan.pk])).status_code == 403
    assert client.post(reverse("sales:contact-back", args=[rowan.pk])).status_code == 403


def test_a_buyer_is_found_by_a_person(office):
    person(BuyerFactory(name="Fallow Grounds"))
    BuyerFactory(name="Thistle & Stone")

    page = office.get(reverse("sales:buyers"), {"name": "rowan"}).content.decode()

    assert "Fallow Grounds" in page and "Thistle" not in page


def test_the_page_says_what_a_buyer_left(office):
    buyer = BuyerFactory()
    sell_from(lot_holding(10, medium="20.00"), 4, "10.00", buyer=buyer)

    page = office.get(reverse("sales:buyer", args=[buyer.pk])).content.decode()

    assert "4 plants for $40.00 before tax" in page and "$32.00" in page


def test_the_report_names_each_buyer():
    NurseryFactory()
    lot, buyer = lot_holding(20), BuyerFactory(name="Fallow Grounds")
    BuyerFactory(name="Thistle & Stone", kind="garden")
    document = sell_from(lot, 4, buyer=buyer)
    sell_from(lot, 2)
    back = {"plants": [(lot, 1)], "on": DAY + timedelta(days=2), "restock": True}
    operations.take_back(document=document, request_id=uuid4(), **back)

    rows = REPORTS["buyers"](on=DAY + timedelta(days=2))

    assert [tuple(row.values()) for row in rows] == [
        ("Fallow Grounds", "landscaper", 3, Decimal(30), Decimal(30)),
        ("Thistle & Stone", "garden", 0, Decimal(0), Decimal(0)),
    ]
    assert REPORTS["buyers"](on=DAY)[0]["owed"] == Decimal(40)
