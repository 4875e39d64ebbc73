"""More plants in a hold that is made."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from sales.errors import SaleRefused
from sales.operations import Wanted, add_to_hold, sell_held, undo_hold_change
from tests.factories import NurseryFactory, UserFactory, give_price, lot_holding
from tests.test_hold import TODAY, free, held

pytestmark = pytest.mark.django_db


def add(made, *wanted, on=TODAY, **more):
    return add_to_hold(hold=made, wanted=wanted, on=on, **{"request_id": uuid4()} | more)


def of(lot, quantity, **more):
    return Wanted(lot.plant, lot.container, quantity, **more)


@pytest.fixture
def grower(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


@pytest.fixture
def lots():
    return lot_holding(20, "A"), lot_holding(9, "B")


def test_plants_are_added_and_the_adding_is_undone_as_one(lots):
    one, other = lots
    made = held(one, 12)

    change = add(made, of(one, 3), of(other, 4))
    assert (free(one.plant), free(other.plant)) == (5, 5)

    undo_hold_change(change=change, on=TODAY, request_id=uuid4())
    assert (free(one.plant), free(other.plant)) == (8, 9)


def test_the_same_request_adds_once(lots):
    one, other = lots
    made, same = held(one, 12), {"request_id": uuid4()}

    first, second = (add(made, of(other, 4), **same) for _ in range(2))

    assert first == second
    assert made.lines.count() == 2


def test_more_than_is_free_is_refused(lots):
    one, other = lots
    made = held(one, 12)

    with pytest.raises(SaleRefused, match=r"9 of .* are free now; 10 cannot be promised"):
        add(made, of(other, 10))
    with pytest.raises(SaleRefused, match="at least one plant"):
        add(made)

    assert made.lines.count() == 1, "no empty line may be left behind"


def test_a_hold_that_ended_takes_no_more(lots):
    ended = TODAY - timedelta(days=1)
    made = held(lots[0], 12, until=ended, on=ended)

    with pytest.raises(SaleRefused, match="Keep it longer first"):
        add(made, of(lots[1], 1))


def test_undone_lines_do_not_stand_in_the_way_of_what_was_handed_over(lots):
    one, other = lots
    give_price(other, "6.00")
    made = held(one, 12)
    change = add(made, of(other, 4))
    line = made.lines.get(plant=other.plant)
    sell_held(hold=made, numbers={line: 1}, on=TODAY, request_id=uuid4())

    with pytest.raises(SaleRefused, match=r"1 of .* were handed over already"):
        undo_hold_change(change=change, on=TODAY, request_id=uuid4())


def test_the_page_adds_a_plant_and_offers_undo(grower, lots):
    one, other = lots
    made = held(one, 12)
    key = f"{other.plant_id}-{other.container_id}"
    address = reverse("sales:hold-more", args=[made.pk])

    more = {"more": "yes", "plant": other.plant_id, "container": other.container_id}
    text = grower.post(address, more, follow=True).content.decode()
    assert "9 free now" in text

    data = {f"n-{key}": 4, "request_id": uuid4()}
    text = grower.post(address, data, follow=True).content.decode()
    assert "Added: 0 to 4" in text and "Undo" in text
    assert free(other.plant) == 5


def test_the_page_keeps_what_was_refused(grower, lots):
    one, other = lots
    data = {f"n-{other.plant_id}-{other.container_id}": 10, "request_id": uuid4()}

    text = grower.post(reverse("sales:hold-more", args=[held(one, 12).pk]), data).content.decode()

    assert "10 cannot be promised" in text and 'value="10"' in text


def test_who_may_not_change_holds_is_refused(client, lots):
    client.force_login(UserFactory())

    assert client.get(reverse("sales:hold-more", args=[held(lots[0], 1).pk])).status_code == 403
