"""The calendar as people and their programs see it."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
import recurring_ical_events
from django.utils import timezone
from icalendar import Calendar

from inventory import operations as growing
from inventory.models import CalendarLink
from inventory.operations.ready import set_ready_on
from nursery.calendar_page import weeks_of
from nursery.calendars import Event
from nursery.coming import coming_events
from sales import operations
from tests.entering import as_grower
from tests.factories import BuyerFactory, NurseryFactory, PlantFactory, UserFactory, lot_holding

pytestmark = pytest.mark.django_db


def read(client, address):
    answer = client.get(address)
    assert answer.status_code == 200 and answer["Content-Type"].startswith("text/calendar")
    return Calendar.from_ical(answer.content)


def titles(client, address="/calendar/days.ics"):
    return [str(event["summary"]) for event in read(client, address).events]


@pytest.fixture
def soon():
    return timezone.localdate() + timedelta(days=40)


@pytest.fixture
def lot(soon):
    NurseryFactory()
    lot = lot_holding(60, "P1", plant=PlantFactory(name="Thuja occidentalis 'Ä, 1'"))
    return set_ready_on(lot=lot, ready_on=soon)


def test_lots_of_one_kind_ready_on_one_day_are_one_event(lot, soon):
    other = lot_holding(5, "P2", plant=lot.plant)
    set_ready_on(lot=other, ready_on=soon)
    [event] = [one for one in coming_events(timezone.localdate()) if "Ready" in one.categories]

    assert (event.title, event.first) == ("Ready: 65 Thuja occidentalis 'Ä, 1', #1", soon)
    assert event.description.startswith("60 in lot P1, no place")
    assert event.path == f"/lots/{lot.pk}/"


def test_a_rooted_count_a_walk_and_a_hold_have_their_days(client, lot, soon):
    today = timezone.localdate()
    lot_holding(50, "T1", size="tray", on=today)
    operations.hold(
        buyer=BuyerFactory(name="Ash, Yard"),
        wanted=[operations.Wanted(lot.plant, lot.container, 4, ahead=True)],
        on=today,
        until=soon,
        request_id=uuid4(),
    )
    as_grower(client)
    days = recurring_ical_events.of(read(client, "/calendar/days.ics"))

    def said(day):
        return " ".join(str(event["summary"]) for event in days.at(day))

    assert "Last day held for Ash, Yard: 4 plants" in said(soon)
    assert "Count the rooted: 50" in said(today + timedelta(weeks=10))
    assert "walk-spring" in [event.key[:11] for event in coming_events(today)]


def test_what_was_done_is_no_longer_to_come(lot):
    today = timezone.localdate()
    tray = lot_holding(50, "T1", size="tray", on=today - timedelta(days=20))
    growing.root_count(lot=tray, alive=40, on=today, request_id=uuid4())
    growing.take_out(lot=lot, quantity=60, kind="use", on=today, request_id=uuid4())

    keys = {event.key for event in coming_events(today)}
    assert not keys & {f"count-{tray.pk}", f"ready-{lot.pk}"}


def test_no_uid_stands_twice(client, lot):
    for number in range(3):
        lot_holding(5, f"T{number}", size="tray", on=timezone.localdate())
    as_grower(client)
    uids = [str(event["uid"]) for event in read(client, "/calendar/days.ics").events]

    assert len(set(uids)) == len(uids) > 4


# EX-58: 2006-01-01 is 2005-W52 (PostgreSQL's manual), 2014-12-29 is 2015-W01, 2016-01-03 is
# 2015-W53 (vendors' documents), 2012-12-31 is 2013-W01 (PostgreSQL's manual).
@pytest.mark.parametrize(
    ("day", "week"),
    [("2006-01-01", 52), ("2014-12-29", 1), ("2016-01-03", 53), ("2012-12-31", 1)],
)
def test_weeks_are_numbered_by_iso_8601(day, week):
    first = date.fromisoformat(day)

    assert [one.number for one in weeks_of([Event("a", "A", first, first)])] == [week]


def test_a_link_is_made_read_renewed_stopped_and_put_back(client, lot):
    as_grower(client)
    assert "Make the link" in client.get("/calendar/").content.decode()
    page = client.post("/calendar/link/", follow=True).content.decode()
    first = CalendarLink.objects.get()
    client.post("/calendar/link/")
    assert CalendarLink.objects.get() == first
    address = f"/calendar/of/{first.token}.ics"
    assert f"webcal://testserver{address}" in page and "Thuja" in str(titles(client, address))

    for _ in range(2):
        client.post(f"/calendar/link/{first.pk}/renew/")
    assert CalendarLink.objects.count() == 2
    assert client.get(address).status_code == 404
    client.post(f"/calendar/link/{first.pk}/back/")
    assert client.get(address).status_code == 200
    client.post(f"/calendar/link/{first.pk}/stop/")
    assert client.get(address).status_code == 404


def test_a_link_is_ones_own_and_ends_with_ones_account(client, lot):
    as_grower(client)
    theirs = growing.make_calendar_link(by=UserFactory())
    for verb in ("renew", "stop", "back"):
        assert client.post(f"/calendar/link/{theirs.pk}/{verb}/").status_code == 404
    address = f"/calendar/of/{theirs.token}.ics"
    assert client.get(address).status_code == 200
    theirs.person.is_active = False
    theirs.person.save()

    assert client.get(address).status_code == 404
    client.force_login(UserFactory())
    assert client.post("/calendar/link/").status_code == 403
    assert "Make the link" not in client.get("/calendar/").content.decode()


def test_a_calendar_read_again_is_sent_only_where_it_changed(client, lot):
    address = f"/calendar/of/{growing.make_calendar_link(by=UserFactory()).token}.ics"
    first = client.get(address)
    seen = {"If-None-Match": first["ETag"]}

    assert client.get(address, headers=seen).status_code == 304
    uid = Calendar.from_ical(first.content).events[0]["uid"]
    set_ready_on(lot=lot, ready_on=lot.ready_on + timedelta(days=1))
    again = client.get(address, headers=seen)
    assert again.status_code == 200
    assert Calendar.from_ical(again.content).events[0]["uid"] == uid


def test_buyers_read_when_plants_are_ready_as_far_as_the_list_tells(client, lot, soon):
    assert client.get("/list/ready.ics").status_code == 404
    link = operations.make_buyer_link(buyer=BuyerFactory(), last_on=timezone.localdate())
    facts = {"is_on": True, "phone": "1", "numbers": "capped", "on_list": ""}
    operations.change_public_list(**facts)
    own = f"/list/for/{link.token}/ready.ics"
    for address in ("/list/ready.ics", own):
        [event] = read(client, address).events
        assert (event["summary"], event.start) == ("Thuja occidentalis 'Ä, 1', #1", soon)
        assert "10+ available" in event["description"]
        # A UID is letters by chance, any two of them among them.
        told = [str(value) for name, value in event.items() if name != "UID"]
        assert [words for words in told if lot.code in words] == []
    assert "/list/ready.ics" in client.get("/list/").content.decode()
    assert own in client.get(f"/list/for/{link.token}/").content.decode()

    operations.change_public_list(shows_later=False)
    assert client.get("/list/ready.ics").status_code == 404
    assert client.get("/list/for/none/ready.ics").status_code == 404


def test_the_calendar_asks_no_more_for_many_lots(client, lot, soon, django_assert_max_num_queries):
    for number in range(6):
        more = lot_holding(5, f"Q{number}")
        set_ready_on(lot=more, ready_on=soon + timedelta(days=number))
    as_grower(client)
    with django_assert_max_num_queries(16):
        assert client.get("/calendar/").content.decode().count("Ready: ") == 7
