"""The page of who did what."""

from datetime import UTC, datetime, timedelta

from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from nursery.listing import PER_PAGE, as_file, in_order
from nursery.models import Deed
from nursery.watching.list_of_deeds import DeedFilter, DeedTable
from nursery.watching.naming import name

# A file is made in memory; who wants more narrows the days.
MOST_IN_A_FILE = 50_000
BEGINNING = datetime(1970, 1, 1, tzinfo=UTC)


@require_safe
def deed_list(request: HttpRequest) -> HttpResponse:
    """List who did what, the newest first, also as a file.

    Pages go on from the last row shown and not by number, so the millionth row is as near as
    the first.
    """
    found = DeedFilter(request.GET, queryset=Deed.objects.select_related("by"), request=request)
    if kind := request.GET.get("_export"):
        return as_file(DeedTable(found.qs[:MOST_IN_A_FILE]), kind, "who-did-what")
    rows = list(_older(found.qs, request.GET.get("before", ""))[: PER_PAGE + 1])
    shown = rows[:PER_PAGE]
    name(shown)
    table = DeedTable(shown)
    in_order(request, table)
    context = {
        "table": table,
        "filter": found,
        "older": _mark(shown[-1]) if len(rows) > PER_PAGE else "",
        "most": MOST_IN_A_FILE,
    }
    return render(request, "deed_list.html", context)


def _mark(deed: Deed) -> str:
    """Write the place of a row in the list: its moment in microseconds and its number."""
    return f"{(deed.at - BEGINNING) // timedelta(microseconds=1)}-{deed.pk}"


def _older(rows: QuerySet, mark: str) -> QuerySet:
    """Return the rows after a place in the list."""
    if not mark:
        return rows
    try:
        moment, key = (int(part) for part in mark.split("-"))
        at = BEGINNING + timedelta(microseconds=moment)
    except (ValueError, OverflowError) as error:
        raise Http404("No row is there.") from error
    # The first half lets the database begin at the place in its index.
    return rows.filter(Q(at__lte=at) & (Q(at__lt=at) | Q(pk__lt=key)))
