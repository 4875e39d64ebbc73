"""Whether there will be room for what grows and what is planned, week by week."""

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.queries.space_ahead import PlaceAhead, space_ahead
from inventory.targets import day_words
from inventory.templatetags.target_tags import area, in_units
from nursery import charts

HEIGHT = 240
EVERY = 4  # weeks: the table names each fourth


@require_safe
def room_ahead(request: HttpRequest) -> HttpResponse:
    """Show how full each place will be, and one of them week by week."""
    rows = space_ahead(date.today())
    shown = _chosen(rows, request)
    context = {
        "place": "growing",
        "rows": rows,
        "shown": shown,
        "over": [row for row in rows if row.overflows],
        "picture": shown and _picture(shown),
    }
    return render(request, "inventory/space_ahead.html", context)


@require_safe
def room_chart(request: HttpRequest) -> HttpResponse:
    """Draw the room taken in a place week by week, and a line for what there is."""
    shown = _chosen(space_ahead(date.today()), request)
    if shown is None:
        raise Http404
    size = charts.size_asked(request, HEIGHT)
    return charts.svg_response(charts.svg(lambda axes: draw(axes, shown), *size))


def draw(axes, shown: PlaceAhead) -> None:
    """Draw a bar for each week, those that overflow darker and hatched."""
    taken = [float(in_units(week.area)) for week in shown.weeks]
    most = float(in_units(shown.area))
    over = [week.area > shown.area for week in shown.weeks]
    bars = axes.bar(range(len(taken)), taken, width=0.9, color=charts.TONES[1])
    for bar, is_over in zip(bars, over, strict=True):
        if is_over:
            bar.set(color=charts.CLAY, hatch="///", edgecolor=charts.PAPER)
    axes.axhline(most, color=charts.BARK, lw=1.2)
    axes.annotate(f"{area(shown.area)} there is", (0, most), (0, 4), textcoords="offset points")
    named = [
        (place, week.monday)
        for place, week in enumerate(shown.weeks)
        if week.monday.day <= 7 and week.monday.month % 3 == 1
    ]
    axes.set_xticks(
        [place for place, _ in named],
        [f"{day:%b}\n{day:%Y}" if day.month == 1 else f"{day:%b}" for _, day in named],
    )
    axes.set_ylim(0, max(most, *taken) * 1.15)
    axes.margins(x=0.01)


def _chosen(rows, request):
    """Return the place that was asked for, else the fullest; None where there is none."""
    asked = request.GET.get("place", "")
    return next((row for row in rows if str(row.place.pk) == asked), rows[0] if rows else None)


def _picture(shown):
    week = shown.fullest
    return {
        "source": f"{reverse('inventory:room-chart')}?place={shown.place.pk}",
        "height": HEIGHT,
        "sentence": f"{shown.place}: the fullest week, from {day_words(week.monday)}, takes "
        f"{area(week.area)} of {area(shown.area)}.",
        "heads": ["Week from", "Taken"],
        "rows": [[day_words(row.monday), area(row.area)] for row in shown.weeks[::EVERY]],
    }
