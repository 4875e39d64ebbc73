"""Codes of labels, typed, pasted or scanned: they find their lot and sell its plants."""

from uuid import uuid4

import pytest
from django.contrib.auth.models import Permission
from django.urls import reverse

from inventory.codes import code_in, short_path
from inventory.operations.ready import set_ready_on
from sales.models import Document
from tests.factories import (
    NurseryFactory,
    PlantFactory,
    UserFactory,
    give_price,
    lot_holding,
    sell_from,
)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("25-TX-0123", "25-TX-0123"),
        ("  25-TX 0123 ", "25-TX 0123"),
        ("http://192.168.1.20:8000/s/25-TX-0123/", "25-TX-0123"),
        ("https://ledger.example/s/25-TX-0123", "25-TX-0123"),
        ("HTTPS://LEDGER.EXAMPLE/S/25-TX-0123/", "25-TX-0123"),
        ("ledger.example/s/25-TX-0123/?from=label", "25-TX-0123"),
        ("/s/A%231%2FB/", "A#1/B"),
    ],
)
def test_the_code_is_read_from_whatever_was_pasted(text, code):
    assert code_in(text) == code


@pytest.mark.parametrize("code", ["L1", "25-TX 0123", "A#1/B", "Ä×7", "what?", "50%"])
def test_a_short_address_leads_back_to_its_code(code):
    assert code_in(f"http://ledger.example:8000{short_path(code)}") == code


pages = pytest.mark.django_db


@pytest.fixture
def stand(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


@pytest.fixture
def yews():
    plant = PlantFactory(name="Taxus ×media 'Hicksii'")
    lots = [lot_holding(3, code, plant=plant) for code in ("25-TX-1", "25-TX-2")]
    give_price(lots[0], "14.50")
    return lots


def scan(client, code, basket=None):
    """Send a code as the stand's page does, and return the address that it leads to."""
    answer = client.post(reverse("sales:sell"), {**(basket or {}), "lot_code": code})
    return answer.url


def basket_at(client, address):
    return client.get(address, follow=True).context["form"].lines


@pages
@pytest.mark.parametrize("typed", ["25-tx-1", "25 – TX – 1", "http://any.example/s/25-TX-1/"])
def test_a_scanned_label_adds_one_plant_of_its_lot(typed, stand, yews):
    (line,) = basket_at(stand, scan(stand, typed))

    assert (line.quantity, line.lot, line.error) == (1, yews[0], "")


@pages
def test_scanned_twice_adds_two_and_another_lot_its_own(stand, yews):
    key = f"n-{yews[0].plant_id}-{yews[0].container_id}-{yews[0].pk}"
    again = basket_at(stand, scan(stand, "25-TX-1", {key: 1}))
    other = basket_at(stand, scan(stand, "25-TX-2", {key: 2}))

    assert [(line.quantity, line.lot) for line in again] == [(2, yews[0])]
    assert [(line.quantity, line.lot) for line in other] == [(2, yews[0]), (1, yews[1])]


@pages
def test_a_sale_by_labels_takes_from_their_lots(stand, yews):
    plant, size = yews[0].plant_id, yews[0].container_id
    # Two by the newer lot's label, and three more from wherever: the oldest lot has them.
    typed = {f"n-{plant}-{size}": 3, f"n-{plant}-{size}-{yews[1].pk}": 2}
    stand.post(reverse("sales:sell"), typed | {"paid_by": "cash", "request_id": uuid4()} | on())

    taken = {}
    for line in Document.objects.get().lines.all():
        for take in line.takes.all():
            code = take.movement.from_lot.code
            taken[code] = taken.get(code, 0) + take.movement.quantity
    assert taken == {"25-TX-1": 3, "25-TX-2": 2}


def on():
    return {"on": "2025-04-12"}


@pages
def test_a_label_leaves_the_others_only_what_is_left(stand, yews):
    plant, size = yews[0].plant_id, yews[0].container_id
    address = f"{reverse('sales:sell')}?n-{plant}-{size}=4&n-{plant}-{size}-{yews[1].pk}=3"

    general, labelled = basket_at(stand, address)

    assert labelled.error == ""
    assert "3 are free; 4 cannot be sold" in general.error


@pages
def test_an_unknown_code_is_said_and_kept(stand, yews):
    page = stand.get(scan(stand, "25-TX-9"), follow=True).content.decode()

    assert "No lot has the code “25-TX-9”" in page
    assert 'value="25-TX-9"' in page


@pages
def test_cash_pressed_with_a_code_still_to_add_sells_nothing_yet(stand, yews):
    key = f"n-{yews[0].plant_id}-{yews[0].container_id}"
    basket = {key: 1, "paid_by": "cash", "request_id": uuid4()}

    lines = basket_at(stand, scan(stand, "25-TX-2", basket))

    assert not Document.objects.exists()
    assert sum(line.quantity for line in lines) == 2


@pages
def test_an_empty_lot_s_label_sells_nothing(stand, yews):
    sell_from(yews[0], 3)

    (line,) = basket_at(stand, scan(stand, "25-TX-1"))

    assert "0 are free of this lot; 1 cannot be sold" in line.error


@pages
def test_a_label_s_address_offers_the_plant_to_who_may_sell(stand, yews):
    page = stand.get(short_path("25-TX-1")).content.decode()

    assert "Sell one" in page and "$14.50" in page
    assert "free to sell of this lot" in page
    set_ready_on(lot=yews[0], ready_on=yews[0].began_on.replace(year=2999))
    assert "Sell one" not in stand.get(short_path("25-TX-1")).content.decode()


@pages
def test_others_see_the_lot_s_page_and_strangers_a_login(client, yews):
    address = short_path("25-TX-1")
    UserFactory()
    assert "/accounts/login/" in client.get(address).url

    client.force_login(UserFactory())
    assert client.get(address).url == reverse("inventory:lot", args=[yews[0].pk])


@pages
def test_who_may_sell_needs_no_more_than_that(client, yews):
    seller = UserFactory()
    seller.user_permissions.add(Permission.objects.get(codename="add_document"))
    client.force_login(seller)

    assert "Sell one" in client.get(short_path("25-TX-1")).content.decode()


@pages
def test_a_code_no_lot_has_is_looked_for(stand, yews):
    assert "25-TX-2" in stand.get(short_path("25-TX"), follow=True).content.decode()


@pages
def test_the_search_takes_a_label_s_address(stand, yews):
    answer = stand.get(reverse("inventory:search"), {"q": "http://x.example/s/25-TX-2/"})

    assert answer.url == reverse("inventory:lot", args=[yews[1].pk])


@pages
def test_only_pages_that_scan_may_use_the_camera(stand, yews):
    scanning = [reverse("sales:sell"), reverse("inventory:search")]
    policies = [stand.get(address, follow=True)["Permissions-Policy"] for address in scanning]

    assert all("camera=(self)" in policy for policy in policies)
    assert "camera=()" in stand.get(reverse("today"))["Permissions-Policy"]
