"""The way back to a form that was saved: it is known, and nothing is written twice."""

from datetime import date
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import LotBalance, Operation
from sales.models import Document, Payment
from tests.entering import as_grower, opened, page, sent, undo_last
from tests.factories import PlaceFactory, PlantFactory, cause, lot_holding, sell_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def lots():
    """Return two lots that are alike, of 20 and of 30 plants."""
    plant = PlantFactory(name="Thuja 'Green Giant'")
    return lot_holding(20, "L1", plant=plant), lot_holding(30, "L2", plant=plant)


def on_hand(lot) -> int:
    return LotBalance.objects.get(lot=lot).on_hand


def form_at(answer) -> dict:
    """Return the hidden request id that a page's form sends."""
    return {"request_id": str(answer.context["form"]["request_id"].value())}


def test_a_page_opened_by_a_link_gets_a_request_id_in_its_address(client, lots):
    answer = as_grower(client).get(page("move", lots[0].pk), follow=True)

    (address, status), *_ = answer.redirect_chain
    assert status == 302
    assert form_at(answer)["request_id"] in address


def test_another_opening_of_the_same_link_is_another_request(client, lots):
    address = page("move", lots[0].pk)
    ids = [form_at(as_grower(client).get(address, follow=True))["request_id"] for _ in range(2)]

    assert ids[0] != ids[1]


@pytest.mark.parametrize("nonsense", ["", "x", "123", "%00"])
def test_a_request_id_that_is_none_is_replaced(client, lots, nonsense):
    answer = as_grower(client).get(f"{page('move', lots[0].pk)}?request={nonsense}", follow=True)

    assert answer.redirect_chain
    assert form_at(answer)["request_id"] in answer.redirect_chain[0][0]


def entries(lot, other, place):
    """Return (address, what is typed) of each form that plants or money go through."""
    return {
        "move": (page("move", lot.pk), {"place": place.pk}),
        "move a part": (page("move", lot.pk), {"place": place.pk, "quantity": "5"}),
        "blend": (page("blend", lot.pk), {"to_lot": other.pk}),
        "pot up": (page("pot-up", lot.pk), {"quantity": "5", "container": lot.container_id}),
        "count": (page("count", lot.pk), {"found": "18", "cause": cause("count").pk}),
        "use": (page("take-out", lot.pk, "use"), {"quantity": "3"}),
        "cost": (page("add-cost", lot.pk), {"amount": "9", "category": "labour"}),
        "walk": (
            page("write-off"),
            {f"alive_{lot.pk}": "19", f"held_{lot.pk}": "20", "save": "1"}
            | {"cause_for_all": cause("winter").pk},
        ),
    }


KINDS = ["move", "move a part", "blend", "pot up", "count", "use", "cost", "walk"]


@pytest.mark.parametrize("kind", KINDS)
def test_the_way_back_says_that_it_was_saved_and_saves_nothing_more(client, lots, kind):
    address, typed = entries(*lots, PlaceFactory(name="South bed"))[kind]
    address, grower = opened(address), as_grower(client)
    first = grower.get(address)
    answer = grower.post(address, sent(date.today(), **typed) | form_at(first), follow=True)
    assert "Undo" in answer.content.decode()
    written, held = Operation.objects.count(), on_hand(lots[0])

    back = grower.get(address)
    assert "This was saved already" in back.content.decode()
    assert form_at(back) == form_at(first)

    # What was typed is lost on the way back, so nothing more than the id may be needed.
    for again in (typed, {}):
        said = grower.post(address, sent(date.today(), **again) | form_at(back), follow=True)
        assert "This was saved already" in said.content.decode()
        assert "/undo/" in said.content.decode()
    assert (Operation.objects.count(), on_hand(lots[0])) == (written, held)


@pytest.mark.parametrize("kind", KINDS)
def test_what_was_undone_can_be_entered_anew(client, lots, kind):
    address, typed = entries(*lots, PlaceFactory(name="South bed"))[kind]
    address, grower = opened(address), as_grower(client)
    first = form_at(grower.get(address))
    grower.post(address, sent(date.today(), **typed) | first)
    undo_last(client)
    written = Operation.objects.count()

    # The page may come back from the browser's memory, with the id that was used.
    kept = grower.post(address, sent(date.today(), **typed) | first)
    assert "undone since" in kept.content.decode()
    assert Operation.objects.count() == written
    assert grower.post(address, sent(date.today(), **typed) | form_at(kept)).status_code == 302
    assert Operation.objects.count() == written + 1


def test_an_undone_entry_is_opened_under_a_new_id(client, lots):
    address, grower = opened(page("blend", lots[0].pk)), as_grower(client)
    first = form_at(grower.get(address))
    grower.post(address, sent(date.today(), to_lot=lots[1].pk) | first)
    undo_last(client)

    answer = grower.get(address, follow=True)

    assert form_at(answer) != first
    assert "saved already" not in answer.content.decode()


def test_a_payment_is_noted_once_whichever_way_its_page_is_come_back_to(client, lots):
    document = sold(lots[0])
    address, grower = opened(reverse("sales:pay", args=[document.pk])), as_grower(client)
    typed = sent(date.today(), amount="5", method="cash") | form_at(grower.get(address))
    grower.post(address, typed)

    assert "This was saved already" in grower.get(address).content.decode()
    answer = grower.post(address, typed, follow=True)

    assert "This was saved already" in answer.content.decode()
    assert Payment.objects.count() == 1


def test_plants_are_taken_back_once_whichever_way_the_page_is_come_back_to(client, lots):
    document = sold(lots[0])
    address, grower = opened(reverse("sales:take-back", args=[document.pk])), as_grower(client)
    typed = {f"back_{lots[0].pk}": "1", "what_then": "restock"}
    form = sent(date.today(), **typed) | form_at(grower.get(address))

    answers = [grower.post(address, form, follow=True) for _ in range(2)]

    assert "This was saved already" in answers[1].content.decode()
    assert Document.objects.filter(kind="credit").count() == 1


def test_a_sale_keeps_its_id_from_the_first_tap_on(client, lots):
    lot, grower, stand = lots[0], as_grower(client), reverse("sales:sell")
    key = f"{lot.plant_id}-{lot.container_id}"
    sale = {"request_id": str(uuid4()), f"price-{key}": "9.00"}

    tapped = grower.post(stand, sale | {"more": key})
    assert f"request={sale['request_id']}" in tapped.url
    assert form_at(grower.get(tapped.url)) == {"request_id": sale["request_id"]}

    paid = sent(date.today(), paid_by="cash", **{f"n-{key}": "1"}) | sale
    grower.post(stand, paid)
    assert "This was saved already" in grower.get(tapped.url).content.decode()
    grower.post(stand, paid)
    assert Document.objects.count() == 1

    # Another plant tapped after that is another sale.
    assert sale["request_id"] not in grower.post(stand, paid | {"more": key, "paid_by": ""}).url


def sold(lot) -> Document:
    """Sell three plants of a lot, unpaid."""
    sell_from(lot, 3, on=date.today())
    return Document.objects.get()
