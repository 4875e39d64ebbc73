"""Sales made without signal are booked as they were made: never refused, never twice."""

import json
from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from inventory import operations as growing
from inventory.models import LotBalance, Operation
from inventory.queries.conservation import conservation
from nursery.today import groups_to_do
from sales import operations
from sales.models import Document, FoundAtSale, StandSale, TaxRate
from sales.operations.sent import day_of
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    PlaceFactory,
    PlantFactory,
    UserFactory,
    give_price,
    lot_holding,
    sell_from,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nursery():
    TaxRate.objects.create(percent=Decimal(6), valid_from=date(2020, 1, 1))
    return NurseryFactory()


def sent(lot, quantity, *, request_id=None, days_ago=0, **more):
    """Return a sale of a lot's plants at 10.00 as a phone keeps it."""
    item = operations.Item(
        lot.plant, lot.container, quantity, unit_price=Decimal(10), price_reason="stand list"
    )
    made_at = timezone.now() - timedelta(days=days_ago)
    facts = {"items": (item,), "grades": (lot.grade,), "made_at": made_at, "paid_by": "cash"}
    return operations.SentSale(request_id=request_id or uuid4(), **(facts | more))


def on_hand(*lots):
    return [LotBalance.objects.get(lot=lot).on_hand for lot in lots]


def test_a_sale_is_booked_at_the_price_that_was_quoted():
    lot = lot_holding(5)
    give_price(lot, "14.00")

    document = operations.book_sent(sale=sent(lot, 2), by=UserFactory())

    line = document.lines.get()
    assert (line.unit_price, line.price_reason) == (Decimal(10), "stand list")
    assert document.payments.get().amount == document.total == Decimal("21.20")
    assert on_hand(lot) == [3]


def test_the_same_sale_sent_again_is_the_first():
    sale = sent(lot_holding(5), 2)
    first = operations.book_sent(sale=sale)

    assert operations.book_sent(sale=sale) == first
    assert Document.objects.count() == 1


def test_what_a_lot_lacks_comes_from_others_of_its_kind():
    plant = PlantFactory()
    old, young = (lot_holding(2, code, plant=plant) for code in ("L1", "L2"))
    other = lot_holding(9, "L3", plant=plant, size="#3")

    operations.book_sent(sale=sent(old, 3))

    assert on_hand(old, young, other) == [0, 1, 9]
    assert not FoundAtSale.objects.exists()


def test_what_no_lot_has_is_found_by_a_count_and_sold():
    lot = lot_holding(1, medium="5.00")

    document = operations.book_sent(sale=sent(lot, 4))

    assert on_hand(lot) == [0]
    assert document.lines.get().quantity == 4
    assert FoundAtSale.objects.get().movement.quantity == 3
    books = conservation()
    assert (books.plants_begun, books.plants_sold) == (4, 4)
    assert (books.plants_difference, books.total.difference) == (0, 0)


def test_plants_held_for_a_buyer_go_last_and_are_not_refused():
    plant = PlantFactory()
    held, free = (lot_holding(2, code, plant=plant) for code in ("L1", "L2"))
    wanted = operations.Wanted(plant=plant, container=held.container, quantity=2, lot=held)
    operations.hold(
        buyer=BuyerFactory(),
        wanted=[wanted],
        until=date.today() + timedelta(days=9),
        on=date.today(),
        request_id=uuid4(),
    )

    operations.book_sent(sale=sent(held, 3))

    assert on_hand(held, free) == [1, 0]


def test_plants_sold_to_others_since_are_found():
    """The lot had three that evening; they went to others this morning."""
    lot = lot_holding(3)
    sell_from(lot, 3, on=date.today())

    document = operations.book_sent(sale=sent(lot, 2, days_ago=1))

    assert document.date == timezone.localdate() - timedelta(days=1)
    assert FoundAtSale.objects.get().movement.quantity == 2
    assert on_hand(lot) == [0]


def test_today_asks_to_count_the_lot_until_it_was_counted():
    lot = lot_holding(1)
    operations.book_sent(sale=sent(lot, 4))
    (group,) = [one for one in asked_today() if one.title == "Count these lots"]

    assert group.why == "3 sold without signal that the ledger did not have."
    assert [line.number for line in group.lines] == ["3 sold"]
    growing.count(lot=lot, found=0, on=date.today(), request_id=uuid4())
    assert not [one for one in asked_today() if one.title == "Count these lots"]


def asked_today():
    return groups_to_do(date.today(), NurseryFactory.build())


def test_undone_the_plants_found_wait_for_the_count():
    lot = lot_holding(1)
    document = operations.book_sent(sale=sent(lot, 4))

    operations.undo_sale(document=document, request_id=uuid4())

    assert on_hand(lot) == [4]


def test_the_database_keeps_what_was_found():
    operations.book_sent(sale=sent(lot_holding(1), 2))

    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("DELETE FROM sales_foundatsale")


@pytest.mark.parametrize("wrong", [timedelta(days=-900), timedelta(hours=5), timedelta(days=30)])
def test_a_wrong_clock_gives_way_to_today_with_a_note(wrong):
    made_at = timezone.now() + wrong

    on, words = day_of(made_at, clock_off=wrong)

    said = timezone.localtime(made_at)
    assert on == timezone.localdate()
    assert words == f"The phone's clock said {said.day} {said:%B %Y, %H:%M}."


def test_a_clock_put_right_before_sending_is_told_by_an_impossible_day():
    on, words = day_of(datetime.fromisoformat("2001-01-01T10:00:00+00:00"))

    assert on == timezone.localdate()
    assert words.startswith("The phone's clock said 1 January 2001")


def test_a_closed_day_gives_way_to_the_first_open_one():
    lot = lot_holding(5)
    closed = timezone.localdate() - timedelta(days=2)
    growing.close_period(last_day=closed, request_id=uuid4())

    document = operations.book_sent(sale=sent(lot, 1, days_ago=3))

    assert document.date == closed + timedelta(days=1)
    assert "a day that is closed" in document.note


def test_a_gift_needs_no_second_asking():
    lot = lot_holding(2)
    item = operations.Item(lot.plant, lot.container, 1, unit_price=Decimal(0))

    document = operations.book_sent(sale=sent(lot, 1, items=(item,)))

    assert (document.total, document.note) == (0, "At no charge.")


def test_at_an_open_stand_the_money_goes_into_its_box():
    lot = lot_holding(5)
    day = opened_stand()

    document = operations.book_sent(sale=sent(lot, 1, stand=day))

    assert document.stand_sale.day == day


def test_at_a_stand_closed_since_it_is_booked_beside_it():
    lot = lot_holding(5)
    day = opened_stand(on=date.today())

    document = operations.book_sent(sale=sent(lot, 1, stand=day, days_ago=1))

    assert not StandSale.objects.exists()
    assert "closed since" in document.note


def opened_stand(on=None):
    return operations.open_stand(
        place=PlaceFactory(),
        on=on or date.today(),
        began_with=Decimal(50),
        request_id=uuid4(),
    )


# The door that phones send to.


@pytest.fixture
def seller(client):
    user = UserFactory(is_superuser=True)
    client.force_login(user)
    return user


def row_of(lot, seller, quantity=1, **more):
    return {
        "request": str(uuid4()),
        "at": timezone.now().isoformat(),
        "seller": {"key": seller.pk, "name": seller.username},
        "buyer": None,
        "paid_by": "cash",
        "note": "",
        "total": "10.60",
        "items": [
            {
                "plant": lot.plant_id,
                "container": lot.container_id,
                "quantity": quantity,
                "lot": None,
                "grade": "",
                "price": "10.00",
                "reason": "stand list",
            }
        ],
    } | more


def send(client, *rows):
    body = {"clock": timezone.now().isoformat(), "sales": rows}
    return client.post("/sell/send/", json.dumps(body), content_type="application/json")


def test_sales_are_booked_in_their_order_and_once(client, seller):
    lot = lot_holding(5)
    rows = [row_of(lot, seller, number) for number in (1, 2)]

    first, again = (send(client, *rows).json()["results"] for _ in range(2))

    assert [one["url"] for one in first] == [one["url"] for one in again]
    numbers = Document.objects.order_by("pk").values_list("lines__quantity", flat=True)
    assert list(numbers) == [1, 2]
    assert set(Operation.objects.filter(kind="sale").values_list("entered_by", flat=True)) == {
        seller.pk
    }


def test_a_sale_of_another_person_says_whose_it_is(client, seller):
    other = UserFactory(username="saturday-help")

    (result,) = send(client, row_of(lot_holding(5), other)).json()["results"]

    assert result["whose"] == "saturday-help"
    assert not Document.objects.exists()


def test_one_that_cannot_be_read_does_not_hold_up_the_others(client, seller):
    lot = lot_holding(5)
    wrong = row_of(lot, seller, items=[{"plant": 987654}])

    results = send(client, wrong, row_of(lot, seller)).json()["results"]

    assert "refused" in results[0] and "url" in results[1]


@pytest.mark.parametrize("body", ["", "[]", "{}", '{"sales": 3}', '{"sales": [], "clock": "noon"}'])
def test_what_is_no_queue_is_answered_so(client, seller, body):
    assert client.post("/sell/send/", body, content_type="application/json").status_code == 400


def test_another_total_than_the_phone_asked_for_is_said(client, seller):
    (result,) = send(client, row_of(lot_holding(5), seller, total="10.00")).json()["results"]

    assert result["careful"] == "The phone asked for $10.00."


@pytest.mark.parametrize("name", ["shell/", "data.json", "waiting/"])
def test_the_pages_a_phone_keeps_need_the_right_to_sell(client, seller, name):
    assert client.get(f"/sell/{name}").status_code == 200
    client.force_login(UserFactory())
    assert client.get(f"/sell/{name}").status_code == 403
    client.logout()
    assert client.get(f"/sell/{name}").status_code == 302


def test_sending_needs_the_right_to_sell(client):
    client.force_login(UserFactory())

    assert client.post("/sell/send/", "{}", content_type="application/json").status_code == 403


def test_the_worker_may_answer_for_the_whole_site(client, seller):
    client.logout()
    answer = client.get("/stand-worker.js")

    assert answer["Content-Type"] == "text/javascript"
    assert answer["Cache-Control"] == "no-cache"
    assert "script-src 'self'" in answer["Content-Security-Policy"]


def test_the_stand_can_be_put_on_a_home_screen(client, seller):
    client.logout()
    said = client.get("/stand.webmanifest").json()

    assert (said["start_url"], said["display"]) == ("/sell/", "standalone")
    assert {icon["sizes"] for icon in said["icons"]} == {"192x192", "512x512"}


def test_the_data_of_the_stand_counts_in_minor_units(client, seller):
    lot = lot_holding(5)
    give_price(lot, "14.25")
    give_price(lot, "12.00", least=10)

    (plant,) = client.get("/sell/data.json").json()["plants"]

    assert plant["prices"] == {"stand": {"": [[1, 1425], [10, 1200]]}}
    assert [row["free"] for row in plant["lots"]] == [5]
