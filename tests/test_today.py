"""The first page: what is on hand, what needs doing, what was entered last."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from inventory import operations
from tests.factories import NurseryFactory, PlaceFactory, UserFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def page(client, path="/"):
    return client.get(path).content.decode()


def test_today_asks_for_a_login(client):
    UserFactory()

    answer = client.get("/")

    assert answer.status_code == 302
    assert answer.url.startswith("/accounts/login/")


def test_an_empty_ledger_says_how_to_begin(grower):
    text = page(grower)

    assert "Enter what stands there today" in text
    assert "/first-season/" in text


def test_today_adds_up_what_is_on_hand_by_container(grower):
    lot_holding(40, "A")
    lot_holding(1200, "B")
    lot_holding(7, "C", size="#3")
    lot_holding(90, "D", size="tray")

    text = page(grower)

    for amount, words in (("1,240", "in #1"), ("7", "in #3"), ("90", "in trays")):
        assert f'<span class="amount">{amount}</span> <span class="words">{words}' in text


def test_today_names_the_tray_whose_count_is_due_and_leads_to_it(grower):
    long_ago = date.today() - timedelta(weeks=11)
    lot = lot_holding(90, "TRAY-7", size="tray", on=long_ago)

    text = page(grower)

    assert "Count what has rooted" in text
    assert "TRAY-7" in text
    assert f"/lots/{lot.pk}/root-count/" in text


def test_today_shows_the_last_entries_and_undoes_one(grower):
    lot = lot_holding(40, "A")
    operations.take_out(kind="use", lot=lot, quantity=3, on=lot.began_on, request_id=uuid4())
    text = page(grower)
    assert "Used 3" in text
    undo = lot.movements_out.get().operation_id

    grower.post(f"/entries/{undo}/undo/")

    lot.balance.refresh_from_db()
    assert lot.balance.on_hand == 40
    assert '<span class="state">undone</span>' in page(grower)


def test_today_leads_to_the_four_uses(grower):
    text = page(grower)

    for address in ("/availability/?container=%231", "/sell/", "/write-off/", "/books/margin/"):
        assert f'href="{address}"' in text


def test_today_asks_the_database_no_more_for_many_lots_than_for_few(
    grower, django_assert_max_num_queries
):
    bench = PlaceFactory(heated=True)
    for number in range(12):
        lot = lot_holding(30, f"T{number}", size="tray", on=date(2025, 4, 10))
        operations.move(lot=lot, place=bench, on=date(2025, 4, 10), request_id=uuid4())
        sell_from(lot_holding(30, f"P{number}", medium="9.00"), 1)

    # The first page of a process loads what the later ones have.
    page(grower)
    with django_assert_max_num_queries(28):
        page(grower)
