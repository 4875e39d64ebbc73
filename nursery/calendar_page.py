"""What comes when: as a page, as a file, and by a link in a person's own calendar."""

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import conditional_page, require_POST, require_safe

from inventory.models import CalendarLink
from inventory.operations import calendar_links as operations
from nursery.calendars import CONTENT_TYPE, Event, calendar_text, tag_of
from nursery.coming import coming_events
from nursery.context import current_nursery
from nursery.http import go_to, only_on_this_machine
from nursery.openly import open_to_all
from nursery.undo import offer_undo

MOST_SHOWN = 200


@dataclass(frozen=True)
class Week:
    """A week by ISO 8601, from its Monday, with what begins in it."""

    monday: date
    events: list[Event]

    @property
    def number(self) -> int:
        return self.monday.isocalendar().week


def weeks_of(events: list[Event]) -> list[Week]:
    """Return events in the weeks in which they begin. They come in order."""
    return [Week(monday, list(found)) for monday, found in groupby(events, _monday)]


def calendar_answer(
    request: HttpRequest, events: list[Event], *, name: str, file_name: str
) -> HttpResponse:
    """Answer with events as a calendar, with a tag by which a reader asks for news only."""
    text = calendar_text(
        events,
        name=name,
        seed=current_nursery().calendar_id,
        whole=request.build_absolute_uri,
        at=timezone.now(),
    )
    answer = HttpResponse(text, content_type=CONTENT_TYPE)
    answer["Content-Disposition"] = f'inline; filename="{file_name}"'
    answer["ETag"] = tag_of(events, name)
    return answer


@require_safe
def calendar(request: HttpRequest) -> HttpResponse:
    """Show what comes when, and how to see it in one's own calendar."""
    today = timezone.localdate()
    events = [event for event in coming_events(today, request.user) if event.last >= today]
    link = CalendarLink.objects.filter(person=request.user, is_withdrawn=False).first()
    address = link and request.build_absolute_uri(reverse("calendar-read", args=[link.token]))
    context = {
        "place": "today",
        "number": len(events),
        "weeks": weeks_of(events[:MOST_SHOWN]),
        "more": max(0, len(events) - MOST_SHOWN),
        "link": link,
        "address": address,
        "subscribe": address and f"webcal:{address.partition(':')[2]}",
        "only_here": only_on_this_machine(request),
        "may_link": request.user.has_perm("inventory.add_calendarlink"),
    }
    return render(request, "calendar.html", context)


@conditional_page
@require_safe
def calendar_file(request: HttpRequest) -> HttpResponse:
    """Answer with all of it as a file."""
    return _whole_calendar(request, request.user)


@open_to_all
@conditional_page
@require_safe
def calendar_read(request: HttpRequest, token: str) -> HttpResponse:
    """Answer a person's calendar program, which knows the link and no password."""
    links = CalendarLink.objects.select_related("person")
    link = get_object_or_404(links, token=token, is_withdrawn=False, person__is_active=True)
    answer = _whole_calendar(request, link.person)
    answer["Cache-Control"] = "private, no-cache"
    answer["X-Robots-Tag"] = "noindex, nofollow"
    return answer


@require_POST
def calendar_link(request: HttpRequest) -> HttpResponse:
    """Make the link of whoever is logged in."""
    link = operations.make_calendar_link(by=request.user)
    return _said(request, "The link is made.", "calendar-stop", link)


@require_POST
def calendar_renew(request: HttpRequest, pk: int) -> HttpResponse:
    """Let another link stand in the place of one that too many know."""
    link = _own(request, pk)
    operations.renew_calendar_link(link=link, by=request.user)
    return _said(request, "The old link leads nowhere; this is another.", "calendar-back", link)


@require_POST
def calendar_stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a link lead nowhere."""
    link = _own(request, pk)
    operations.stop_calendar_link(link=link, by=request.user)
    return _said(request, "The link leads nowhere now.", "calendar-back", link)


@require_POST
def calendar_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a stopped link lead to the calendar again."""
    link = operations.restart_calendar_link(link=_own(request, pk), by=request.user)
    return _said(request, "The link works again.", "calendar-stop", link)


def _whole_calendar(request, person):
    events = coming_events(timezone.localdate(), person)
    name = current_nursery().name
    return calendar_answer(request, events, name=name, file_name="calendar.ics")


def _own(request, pk):
    """Return one's own link: others' are not seen, and so not stopped."""
    link = CalendarLink.objects.filter(pk=pk, person=request.user).first()
    if link is None:
        raise Http404
    return link


def _said(request, words, undo, link):
    offer_undo(request, words, reverse(undo, args=[link.pk]))
    return go_to(request, "calendar")


def _monday(event):
    return event.first - timedelta(days=event.first.weekday())
