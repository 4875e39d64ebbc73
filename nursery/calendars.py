"""Write days of the ledger as a calendar that phones and other programs read, by RFC 5545.

All is of whole days, so no clock and no time zone has a say. There is no METHOD: a reader
that subscribed takes what it reads as it stands now. A calendar is put together from sources,
each a function that tells the events it knows of on a day.
"""

from collections.abc import Callable, Iterable
from dataclasses import astuple, dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256
from uuid import UUID, uuid5

from icalendar import Calendar, Timezone, vDuration, vText
from icalendar import Event as Entry

CONTENT_TYPE = "text/calendar; charset=utf-8"
MADE_BY = "-//Nursery ledger//Calendar 1//EN"
# How often a reader should look again.
REFRESHED = timedelta(hours=6)


@dataclass(frozen=True)
class Event:
    """Something on one day or more, `last` among them.

    `key` names it for as long as there is it, also when its days change: "ready-12". It is the
    only one of that key in a calendar. `path` is its page's address within the ledger.
    """

    key: str
    title: str
    first: date
    last: date
    description: str = ""
    path: str = ""
    categories: tuple[str, ...] = ()


Source = Callable[[date], Iterable[Event]]


def gathered(sources: Iterable[Source], on: date) -> list[Event]:
    """Return what all sources know of on a day, the earliest first."""
    events = (event for source in sources for event in source(on))
    return sorted(events, key=lambda event: (event.first, event.title, event.key))


def calendar_text(
    events: Iterable[Event],
    *,
    name: str,
    seed: UUID,
    whole: Callable[[str], str],
    at: datetime,
) -> bytes:
    """Return the calendar as it is sent, lines folded and signs escaped.

    `seed` is the ledger's own: a key together with it is a UID that no other ledger has.
    `whole` makes the address of a page whole. `at` is now: readers take the newer of two
    versions of an event by it.
    """
    calendar = Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", MADE_BY)
    calendar.add("calscale", "GREGORIAN")
    # Of RFC 7986, and beneath the names that were usual before it.
    for title in ("name", "x-wr-calname"):
        calendar.add(title, vText(name))
    often = vDuration(REFRESHED, params={"VALUE": "DURATION"})
    calendar.add("refresh-interval", often)
    calendar.add("x-published-ttl", vDuration(REFRESHED))
    for event in events:
        calendar.add_component(_entry(event, seed, whole, at))
    if not calendar.subcomponents:
        # A calendar without any component is none.
        calendar.add_component(Timezone.from_tzid("UTC"))
    return calendar.to_ical()


def tag_of(events: Iterable[Event], name: str) -> str:
    """Return an ETag that is the same while nothing of the calendar changes but its stamps."""
    told = repr((name, [astuple(event) for event in events]))
    return f'W/"{sha256(told.encode()).hexdigest()[:32]}"'


def _entry(event, seed, whole, at):
    entry = Entry()
    entry.add("uid", str(uuid5(seed, event.key)))
    entry.add("dtstamp", at)
    entry.add("dtstart", event.first)
    # The first day after it: RFC 5545, 3.6.1.
    entry.add("dtend", event.last + timedelta(days=1))
    entry.add("summary", event.title)
    if event.description:
        entry.add("description", event.description)
    if event.path:
        entry.add("url", whole(event.path))
    if event.categories:
        entry.add("categories", list(event.categories))
    # Whoever looks for a free hour is free: plants wait.
    entry.add("transp", "TRANSPARENT")
    return entry
