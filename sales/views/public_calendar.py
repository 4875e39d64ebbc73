"""When what the list on the web shows is ready, as a calendar: for anyone, or for one buyer."""

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import conditional_page, require_safe

from nursery.calendar_page import calendar_answer
from nursery.context import current_nursery
from nursery.openly import open_to_all
from sales.documents.offers import voice_for
from sales.documents.words import speaking
from sales.queries.coming import listed_days
from sales.queries.offer import offer
from sales.queries.public_list import (
    choice_of,
    kept_lines,
    lines_of,
    link_in_force,
    public_list,
)
from sales.views.public_list import for_anyone, for_them_alone, shown_list


@open_to_all
@conditional_page
@require_safe
def public_calendar(request: HttpRequest) -> HttpResponse:
    """Tell anyone when plants are ready, where the list says so."""
    row = shown_list()
    with speaking(*voice_for(None)):
        return for_anyone(_days(request, row, kept_lines(row), reverse("sales:public-list")))


@open_to_all
@conditional_page
@require_safe
def buyer_calendar(request: HttpRequest, token: str) -> HttpResponse:
    """Tell a buyer with a link when plants are ready, at their prices."""
    link, row = link_in_force(token), public_list()
    if link is None:
        raise Http404
    buyer = link.buyer.kept
    with speaking(*voice_for(buyer)):
        lines = lines_of(offer(choice_of(row, buyer.list_in_use)), with_photos=False)
        answer = _days(request, row, lines, reverse("sales:buyer-list", args=[token]))
    answer["Cache-Control"] = "private, no-cache"
    return for_them_alone(answer)


def _days(request, row, lines, page):
    if not row.shows_later:
        raise Http404
    events = listed_days(lines, page)
    return calendar_answer(request, events, name=current_nursery().name, file_name="ready.ics")
