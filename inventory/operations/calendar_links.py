"""Give people links to the nursery's calendar, and stop them."""

import secrets

from inventory.models import CalendarLink
from inventory.operations.posting import ledger_held

TOKEN_BYTES = 24


def make_calendar_link(*, by) -> CalendarLink:
    """Make a link by which this person's phone reads the calendar; return it.

    While one stands it is the one returned, so a second press makes no second link.
    """
    with ledger_held():
        return _standing(by) or _another(by)


def renew_calendar_link(*, link: CalendarLink, by=None) -> CalendarLink:
    """Let another link stand in the place of this one, and return it.

    Renewed already, it is the one that stands now. `restart_calendar_link` undoes it.
    """
    with ledger_held():
        standing = _standing(link.person)
        if standing and standing != link:
            return standing
        stop_calendar_link(link=link, by=by)
        return _another(link.person)


def stop_calendar_link(*, link: CalendarLink, by=None) -> None:
    """Let a link lead nowhere from now on. `restart_calendar_link` undoes it."""
    with ledger_held():
        CalendarLink.objects.filter(pk=link.pk).update(is_withdrawn=True)


def restart_calendar_link(*, link: CalendarLink, by=None) -> CalendarLink:
    """Let a stopped link lead to the calendar again, and no other one of that person."""
    with ledger_held():
        links = CalendarLink.objects.filter(person=link.person)
        links.exclude(pk=link.pk).update(is_withdrawn=True)
        links.filter(pk=link.pk).update(is_withdrawn=False)
        link.is_withdrawn = False
        return link


def _standing(person):
    return CalendarLink.objects.filter(person=person, is_withdrawn=False).first()


def _another(person):
    return CalendarLink.objects.create(person=person, token=secrets.token_urlsafe(TOKEN_BYTES))
