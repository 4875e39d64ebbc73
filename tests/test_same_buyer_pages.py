"""The pages that find a buyer written down twice, make them one, and two again."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from sales import operations
from sales.models import Buyer
from sales.queries.same_buyer import alike
from tests.factories import BuyerFactory, NurseryFactory, UserFactory, lot_holding, sell_from
from tests.test_same_buyer import merged, two_entries

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def page_of(client, buyer, name="buyer", **query):
    address = reverse(f"sales:{name}", args=[buyer.pk])
    return client.get(address, query, follow=True).content.decode()


def press(client, kept, double, **more):
    typed = {"other": double.pk, "request_id": str(uuid4())} | more
    return client.post(reverse("sales:same-buyer", args=[kept.pk]), typed, follow=True)


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("GREENACRE YARD", True),
        ("Green-Acre Yard", True),
        ("Green Acre Yd.", True),
        ("Gréenacre Yards", True),
        ("Fallow Grounds", False),
        ("", False),
    ],
)
def test_a_name_that_is_nearly_one_is_found(typed, found):
    kept = BuyerFactory(name="Greenacre Yard")

    assert alike(typed) == [kept] * found
    assert alike(typed, but=kept) == []


def test_a_new_buyer_with_nearly_a_known_name_is_kept_and_asked_about(office):
    kept = BuyerFactory(name="Greenacre Yard")
    typed = {"name": "Green Acre Yd.", "kind": "trade", "terms_days": "30"}
    typed["request_id"] = str(uuid4())

    hint = office.get(reverse("sales:buyer-add"), {"name": "greenacre"}, HTTP_HX_REQUEST="true")
    assert hint.content.strip() == b""
    hint = office.get(reverse("sales:buyer-add"), {"name": typed["name"]}, HTTP_HX_REQUEST="true")
    assert reverse("sales:buyer", args=[kept.pk]) in hint.content.decode()
    page = office.post(reverse("sales:buyer-add"), typed, follow=True).content.decode()

    added = Buyer.objects.get(name="Green Acre Yd.")
    assert "There is Greenacre Yard too. Is it the same buyer?" in page
    assert f"{reverse('sales:same-buyer', args=[kept.pk])}?other={added.pk}" in page


def test_the_two_are_shown_side_by_side_with_what_differs(office):
    kept, double = two_entries()
    Buyer.objects.filter(pk=kept.pk).update(tax_id="11-222", address="9 Mill Rise")
    Buyer.objects.filter(pk=double.pk).update(tax_id="11-223", address="9 mill rise.")
    lot = lot_holding(9)
    sell_from(lot, 4, buyer=kept), sell_from(lot, 3, buyer=double)

    assert "?other=" in page_of(office, kept, "same-buyer"), "nearly the same name is offered"
    page = page_of(office, kept, "same-buyer", other=double.pk)

    assert "Their tax IDs differ: look twice." in page
    assert "11-222" in page and "11-223" in page
    assert "$40.00" in page and "$30.00" in page and "$70.00 owed" in page
    assert Buyer.objects.kept().count() == 2, "looking writes nothing"


def test_a_tax_exemption_of_one_alone_is_said_before_saving(office):
    kept, double = BuyerFactory(), BuyerFactory(tax_exempt=True)

    page = page_of(office, kept, "same-buyer", other=double.pk)

    assert f"once {kept} is marked “Buys without sales tax”" in page


def test_they_are_made_one_and_undone(office):
    kept, double = two_entries()
    again = {"request_id": str(uuid4())}

    for _ in range(2):
        page = press(office, kept, double, **again).content.decode()
    assert "Green Acre Yd. is the same buyer as Greenacre Yard now." in page
    assert "Also written down as" in page

    page = office.post(reverse("sales:two-buyers", args=[double.pk]), follow=True)
    assert "is a buyer of its own again" in page.content.decode()
    assert Buyer.objects.kept().count() == 2


def test_the_page_of_the_other_entry_leads_to_the_one_kept(office):
    kept, double = two_entries()
    merged(kept, double)

    page = page_of(office, double)

    assert "Green Acre Yd. is the same buyer as Greenacre Yard." in page
    assert "They are two after all" in page
    for name in ("statement", "reminder", "buyer-edit", "contact-add"):
        assert "Greenacre Yard" in page_of(office, double, name)


def test_one_page_shows_documents_holds_people_and_money_of_both(office):
    kept, double = two_entries()
    today = timezone.localdate()
    lot = lot_holding(20, on=today)
    document = sell_from(lot, 4, buyer=double, on=today)
    facts = {"buyer": double, "request_id": uuid4()}
    operations.add_contact(name="Rowan Pell", phone="555 0140", **facts)
    wanted = [operations.Wanted(lot.plant, lot.container, 5)]
    until = today + timedelta(days=9)
    held = operations.hold(wanted=wanted, on=today, until=until, **facts)
    paid = {"amount": Decimal(7), "method": "cash", "on": today}
    operations.take_on_account(**paid, **facts | {"request_id": uuid4()})
    assert reverse("sales:hold", args=[held.pk]) in page_of(office, double)
    merged(kept, double)

    page = page_of(office, kept)

    assert document.number in page and "Rowan Pell" in page and "$40.00" in page
    assert "$7.00" in page and reverse("sales:hold", args=[held.pk]) in page


def test_the_other_entry_is_offered_no_more_and_an_old_link_finds_the_one_kept(office):
    kept, double = two_entries()
    sell_from(lot_holding(9), 1, buyer=double)
    merged(kept, double)

    for address in ("sell", "hold-add", "document-list"):
        page = office.get(reverse(f"sales:{address}"), {"buyer": double.pk}, follow=True)
        assert f'value="{double.pk}">Green Acre' not in page.content.decode()
    held = office.get(reverse("sales:hold-add"), {"buyer": double.pk}, follow=True)
    assert f'<option value="{kept.pk}" selected>' in held.content.decode()
    assert "Greenacre Yard" in office.get(reverse("sales:buyers"), {"name": "acre yd"}).text
    listed = office.get(reverse("sales:document-list"), {"buyer": kept.pk}).content.decode()
    assert "1 to 1 of 1" in listed


def test_a_chain_is_refused_in_words(office):
    kept, double = two_entries()
    third = BuyerFactory(name="Thistle & Stone")
    merged(kept, double)

    page = press(office, third, kept).content.decode()

    assert "Keep Greenacre Yard instead" in page and "Nothing was saved yet" in page
    assert set(Buyer.objects.kept()) == {kept, third}


def test_it_is_closed_to_whom_may_not(client):
    kept, double = two_entries()
    client.force_login(UserFactory())

    assert client.get(reverse("sales:same-buyer", args=[kept.pk])).status_code == 403
    assert client.post(reverse("sales:two-buyers", args=[double.pk])).status_code == 403
    assert press(client, kept, double).status_code == 403
    assert "Written down twice?" not in page_of(client, kept)
