"""The steps of a first year: ticked by the ledger, put away and back."""

from datetime import date
from uuid import uuid4

import pytest

from inventory import operations
from inventory.models import Lot, Nursery
from nursery.first_season import STEPS, first_season
from tests.factories import (
    NurseryFactory,
    PlaceFactory,
    UserFactory,
    container,
    give_price,
    lot_holding,
    sell_from,
)

pytestmark = pytest.mark.django_db


def ticked():
    return [row.step.key for row in first_season(Nursery.current()).steps if row.is_done]


def test_a_new_ledger_has_its_name_and_all_else_before_it():
    NurseryFactory()

    season = first_season(Nursery.current())

    assert (season.done, season.next.step.key) == (1, "opened")
    assert season.steps[0].when.startswith("Now. The season is April to September")


def test_the_ledger_ticks_each_step_by_what_is_entered():
    NurseryFactory()
    PlaceFactory()
    lot = lot_holding(100, size="tray", on=date(2024, 6, 10), medium="20.00")
    operations.root_count(lot=lot, alive=80, on=date(2024, 9, 2), request_id=uuid4())
    assert ticked() == ["named", "opened", "placed", "begun", "spent", "rooted"]

    operations.count(lot=lot, found=70, on=date(2025, 4, 20), request_id=uuid4())
    assert ticked()[-1] == "wintered"

    operations.pot_up(
        lot=lot,
        quantity=70,
        container=container("#1"),
        to_lot="P1",
        on=date(2025, 5, 1),
        request_id=uuid4(),
    )
    potted = Lot.objects.get(code="P1")
    give_price(potted, "9.00")
    sell_from(potted, 2, "9.00", on=date(2025, 6, 1))
    assert ticked() == [step.key for step in STEPS]
    assert first_season(Nursery.current()).next is None


def test_a_count_before_the_first_winter_and_an_undone_entry_tick_nothing():
    NurseryFactory()
    lot = lot_holding(100, on=date(2025, 4, 10))
    counted = operations.count(lot=lot, found=99, on=date(2025, 5, 10), request_id=uuid4())
    assert "wintered" not in ticked()

    for operation in (counted, lot.movements_in.get().operation):
        operations.reverse(operation=operation, request_id=uuid4())
    assert ticked() == ["named"]


def test_the_steps_are_put_away_from_today_and_come_back(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    assert "Your first season" in client.get("/").text

    for _ in range(2):
        client.post("/first-season/put-away/")
    page = client.get("/").text
    assert "Your first season" not in page
    assert 'action="/first-season/back/"' in page, "Undo"
    assert "Show the next step on Today" in client.get("/first-season/").text

    client.post("/first-season/back/")
    assert "Your first season" in client.get("/").text


def test_only_who_may_change_the_nursery_puts_the_steps_away(client):
    NurseryFactory()
    client.force_login(UserFactory())

    assert client.post("/first-season/put-away/").status_code == 403
    assert "Put it away" not in client.get("/first-season/").text
    assert Nursery.current().shows_first_season
