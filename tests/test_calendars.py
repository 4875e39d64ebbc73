"""The calendar, read back by libraries that know RFC 5545 and nothing of this ledger."""

from datetime import UTC, date, datetime
from uuid import UUID

import recurring_ical_events
from icalendar import Calendar

from nursery.calendars import Event, calendar_text, tag_of

SEED = UUID(int=7)
NASTY = "Thuja 'Ö, A; B' \\ 🌲 " + "é×" * 60


def text_of(*events, name="Quiet Bench, plants; more", at=datetime(2026, 1, 5, 8, tzinfo=UTC)):
    return calendar_text(
        events, name=name, seed=SEED, whole=lambda path: f"https://example.org{path}", at=at
    )


def read_back(text):
    return Calendar.from_ical(text)


def test_an_event_ends_the_day_after_its_last():
    # EX-60, derived from RFC 5545, 3.6.1: DTEND is the first day that is not part of it.
    event = Event("water-1", "Water check", date(2026, 1, 29), date(2026, 2, 26))
    text = text_of(event)

    assert b"DTSTART;VALUE=DATE:20260129\r\n" in text
    assert b"DTEND;VALUE=DATE:20260227\r\n" in text
    days = recurring_ical_events.of(read_back(text))
    assert len(days.at(date(2026, 2, 26))) == 1 and not days.at(date(2026, 2, 27))


def test_every_sign_comes_back_as_it_was():
    day = date(2026, 3, 1)
    event = Event("a", NASTY, day, day, f"{NASTY}\nsecond line", "/lots/1/", ("A, B", "C"))
    text = text_of(event)
    found = read_back(text).events[0]

    # RFC 5545, 3.1: no line is longer than 75 octets, and each is UTF-8 by itself.
    assert all(len(line) <= 75 and line.decode() for line in text[:-2].split(b"\r\n"))
    assert (found["summary"], found["description"]) == (NASTY, f"{NASTY}\nsecond line")
    assert found["url"] == "https://example.org/lots/1/"
    assert [str(one) for one in found["categories"].cats] == ["A, B", "C"]


def test_the_head_names_the_calendar_and_its_maker():
    text = text_of()
    calendar = read_back(text)

    assert (calendar["version"], calendar["calscale"]) == ("2.0", "GREGORIAN")
    assert calendar["prodid"] and "method" not in calendar
    # RFC 7986, 5.1 and 5.7: the name is escaped as text, the interval says that it is one.
    assert b"\r\nNAME:Quiet Bench\\, plants\\; more\r\n" in text
    assert b"\r\nX-WR-CALNAME:Quiet Bench\\, plants\\; more\r\n" in text
    assert b"\r\nREFRESH-INTERVAL;VALUE=DURATION:PT6H\r\n" in text
    # RFC 5545, 3.6: even one without events has a component.
    assert calendar.subcomponents


def test_an_event_keeps_its_uid_when_its_day_changes():
    def event_on(day, at):
        text = text_of(Event("ready-12", "Ready", day, day), at=at)
        return read_back(text).events[0]

    before = event_on(date(2026, 4, 1), datetime(2026, 1, 5, tzinfo=UTC))
    after = event_on(date(2026, 5, 1), datetime(2026, 1, 6, tzinfo=UTC))

    assert before["uid"] == after["uid"]
    assert before.DTSTAMP < after.DTSTAMP


def test_the_tag_changes_with_what_is_told():
    day = date(2026, 4, 1)
    one, other = Event("a", "Ready", day, day), Event("a", "Ready later", day, day)

    assert tag_of([one], "N") == tag_of([one], "N") != tag_of([other], "N")
