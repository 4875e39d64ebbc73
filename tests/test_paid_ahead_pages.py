"""The pages of what was paid ahead, and the line on Today."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations
from inventory.models import Bill, PaidAhead
from inventory.queries.paid_ahead import last_month_end
from tests.bill_scenes import BEFORE, house, lot_in
from tests.entering import as_grower, page
from tests.factories import NurseryFactory, UserFactory

pytestmark = pytest.mark.django_db

UNTIL = last_month_end(date.today())
BEGAN = UNTIL - timedelta(days=9)


@pytest.fixture
def grower(client):
    NurseryFactory()
    return as_grower(client)


@pytest.fixture
def rent():
    """Five a day for days that are not over; ten of them went by with the last month."""
    last_day = date.today() + timedelta(days=30)
    place = house()
    lot_in(place, 10, "A", on=BEFORE)
    return operations.pay_ahead(
        category="space",
        amount=Decimal(5 * ((last_day - BEGAN).days + 1)),
        first_day=BEGAN,
        last_day=last_day,
        place=place,
        request_id=uuid4(),
    )


def typed(**more) -> dict:
    facts = {"request_id": str(uuid4()), "category": "space", "amount": "1200", "note": ""}
    facts |= {"first_day": "2025-03-01", "lasts": "4", "counted_in": "years", "place": ""}
    return facts | {"basis": "area", "unused": "plants"} | more


def asked(until=UNTIL, **more) -> dict:
    return {"request_id": str(uuid4()), "until": until.isoformat()} | more


def test_the_pages_ask_for_a_login_and_writing_for_leave(client, rent):
    NurseryFactory()
    for address in (page("paid-ahead-list"), page("paid-ahead-add"), page("paid-ahead", rent.pk)):
        assert client.get(address).status_code == 302
    client.force_login(UserFactory())
    assert client.post(page("paid-ahead-add"), typed()).status_code == 403
    for name in ("paid-ahead-charge", "paid-ahead-undo"):
        assert client.post(page(name, rent.pk), asked()).status_code == 403


def test_film_for_four_years_is_kept_with_undo(grower):
    shown = grower.post(page("paid-ahead-add"), typed(), follow=True).content.decode()

    row = PaidAhead.objects.get()
    assert (row.amount, row.last_day) == (1200, date(2029, 2, 28))
    assert "$1,200.00 paid ahead for space" in shown
    assert page("paid-ahead-undo", row.pk) in shown
    assert "1 March 2025 to 28 February 2029" in shown


def test_keeping_it_twice_keeps_one(grower):
    data = typed()

    grower.post(page("paid-ahead-add"), data)
    shown = grower.post(page("paid-ahead-add"), data, follow=True).content.decode()

    assert PaidAhead.objects.count() == 1
    assert "saved already" in shown


def test_a_refusal_keeps_what_was_typed(grower):
    answer = grower.post(page("paid-ahead-add"), typed(unused="expense", basis="plants"))

    assert answer.status_code == 200
    assert "only where a bill is shared by area" in answer.content.decode()
    assert 'value="1200"' in answer.content.decode()


def test_one_tap_charges_the_part_that_is_due(grower, rent):
    shown = grower.get(page("paid-ahead", rent.pk)).content.decode()
    assert f"Charge until {UNTIL.day} {UNTIL:%B %Y}: $50.00" in shown

    shown = grower.post(page("paid-ahead-charge", rent.pk), asked(), follow=True).content.decode()

    part = Bill.objects.get()
    assert part.amount == 50
    assert page("bill-undo", part.pk) in shown
    assert "still to come" in shown
    assert page("paid-ahead", rent.pk) in grower.get(page("bill", part.pk)).content.decode()


def test_a_day_that_has_not_come_is_refused_at_the_day(grower, rent):
    data = asked(date.today() + timedelta(days=3))

    answer = grower.post(page("paid-ahead-charge", rent.pk), data)

    assert answer.status_code == 200
    assert "has not come yet" in answer.content.decode()
    assert data["until"] in answer.content.decode()
    assert not Bill.objects.exists()


def test_undo_takes_the_amount_back(grower, rent):
    shown = grower.post(page("paid-ahead-undo", rent.pk), follow=True).content.decode()

    assert "This counts no more" in shown
    assert "Charge until" not in shown
    assert "Nothing is paid ahead" in grower.get(page("paid-ahead-list")).content.decode()


def test_today_the_list_and_the_books_lead_to_what_is_due(grower, rent):
    for address in (reverse("today"), page("paid-ahead-list")):
        shown = grower.get(address).content.decode()
        assert page("paid-ahead", rent.pk) in shown
        assert "$50.00" in shown
    for address in (reverse("sales:books"), page("bill-list")):
        assert page("paid-ahead-list") in grower.get(address).content.decode()


def test_the_list_asks_as_much_for_many_as_for_one(grower, rent, django_assert_max_num_queries):
    for _ in range(8):
        facts = {"first_day": BEGAN, "last_day": UNTIL, "request_id": uuid4()}
        operations.pay_ahead(category="space", amount=Decimal(5), **facts)

    with django_assert_max_num_queries(9):
        grower.get(page("paid-ahead-list"))
