"""Held plants that are given away, used or lost: said before, refused only where it is a choice."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations as growing
from inventory.errors import LedgerError
from inventory.models import LotBalance
from tests.factories import DAY, NurseryFactory, UserFactory, cause, lot_holding
from tests.ledger_figures import undo
from tests.test_hold import MARCH, TODAY, held
from tests.test_ledger_file import exported, left_behind, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


@pytest.fixture
def lot():
    """Twenty plants of which twelve are held."""
    lot = lot_holding(20)
    held(lot, 12)
    return lot


def on_hand():
    return LotBalance.objects.get().on_hand


def take_out(lot, quantity, kind="give", **more):
    return growing.take_out(
        kind=kind, lot=lot, quantity=quantity, on=TODAY, **{"request_id": uuid4()} | more
    )


@pytest.mark.parametrize("kind", ["give", "use"])
def test_what_is_held_for_nobody_is_given_away_and_the_rest_refused(lot, kind):
    take_out(lot, 8, kind)

    with pytest.raises(LedgerError, match=r"1 too few for .*, held until .* Take fewer"):
        take_out(lot, 1, kind)

    assert on_hand() == 12


def test_they_go_all_the_same_where_the_grower_says_so_and_come_back_by_undo(lot):
    same = {"request_id": uuid4(), "despite_holds": True}
    first, second = (take_out(lot, 9, **same) for _ in range(2))
    assert (first, on_hand()) == (second, 11)

    undo(first)

    assert on_hand() == 20


def test_another_lot_that_can_serve_the_hold_leaves_this_one_free(lot):
    lot_holding(12, "L2", plant=lot.plant)

    assert take_out(lot, 20)


def test_the_page_names_the_buyer_and_gives_them_by_a_tick(grower, lot):
    address = reverse("inventory:take-out", args=[lot.pk, "give"])
    data = {"quantity": 9, "on": TODAY.isoformat(), "request_id": uuid4()}

    text = grower.post(address, data).content.decode()
    assert "1 too few for" in text and f"{MARCH.day} {MARCH:%B %Y}" in text
    assert 'value="9"' in text and on_hand() == 20

    grower.post(address, data | {"despite_holds": "on"})
    assert on_hand() == 11


def test_the_tick_is_asked_only_where_plants_are_held(grower):
    address = reverse("inventory:take-out", args=[lot_holding(20).pk, "give"])

    assert "though they are promised" not in grower.get(address, follow=True).content.decode()


def test_a_count_and_a_sheet_say_which_promise_falls_short_and_are_never_refused(grower, lot):
    data = {"found": 9, "on": TODAY.isoformat(), "request_id": uuid4(), "cause": ""}
    address = reverse("inventory:count", args=[lot.pk])
    assert "3 too few for" in grower.post(address, data | {"preview": "1"}).content.decode()

    sheet = {"on": TODAY.isoformat(), f"held_{lot.pk}": 20, f"alive_{lot.pk}": 7}
    sheet |= {"cause_for_all": cause("winter").pk, "request_id": uuid4()}
    address = reverse("inventory:write-off")
    assert "5 too few for" in grower.post(address, sheet).content.decode()

    grower.post(address, sheet | {"save": "1"})
    assert on_hand() == 7


def test_a_gift_of_held_plants_survives_the_way_out_and_in():
    with left_behind():
        lot = lot_holding(20, on=DAY)
        held(lot, 12)
        take_out(lot, 9, despite_holds=True)
        text = exported()

    read(text)

    assert on_hand() == 11
