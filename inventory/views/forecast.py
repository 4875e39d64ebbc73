"""What becomes ready to sell in the months to come: the list, and its picture."""

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.forms.forecast import AheadForm
from inventory.planning.forecast import Ready
from inventory.queries.forecast import forecast, sums_by_month
from inventory.tables.forecast import ForecastTable
from inventory.targets import month_words
from nursery import charts
from nursery.listing import list_page
from nursery.templatetags.nursery_tags import plain

HEIGHT = 280


@require_safe
def ready_ahead(request: HttpRequest) -> HttpResponse:
    """List what becomes ready, by month, plant and container, with its range."""
    today = date.today()
    form = AheadForm(request.GET)
    rows = forecast(today, *form.asked)
    months = sums_by_month(rows, today)
    context = {
        "place": "growing",
        "form": form,
        "now": months[0][1],
        "later": sum((ready for _, ready in months[1:]), Ready()),
        "picture": _picture(request, months),
    }
    return list_page(
        request,
        ForecastTable,
        rows,
        template="inventory/ready_ahead.html",
        context=context,
        export_name="ready-ahead",
    )


@require_safe
def ready_chart(request: HttpRequest) -> HttpResponse:
    """Draw a bar for each month, and on it the range between which the number mostly lies."""
    today = date.today()
    months = sums_by_month(forecast(today, *AheadForm(request.GET).asked), today)
    size = charts.size_asked(request, HEIGHT)
    return charts.svg_response(charts.svg(lambda axes: draw(axes, months), *size))


def draw(axes, months: list[tuple[date, Ready]]) -> None:
    """Draw standing bars with a line from the least to the most on each that has plants."""
    likely = [ready.likely for _, ready in months]
    axes.bar(range(len(months)), likely, color=charts.TONES[1], width=0.8)
    for place, (_, ready) in enumerate(months):
        if ready.high:
            axes.plot([place, place], [ready.low, ready.high], color=charts.BARK, lw=1.6)
    named = [(place, month) for place, (month, _) in enumerate(months) if month.month % 3 == 1]
    axes.set_xticks(
        [place for place, _ in named],
        [f"{month:%b}\n{month:%Y}" if month.month == 1 else f"{month:%b}" for _, month in named],
    )
    axes.yaxis.get_major_locator().set_params(integer=True, nbins=4)
    axes.margins(x=0.01)


def _picture(request, months):
    rows = [
        [month_words(month), plain(round(ready.likely)), plain(ready.low), plain(ready.high)]
        for month, ready in months
        if ready.high
    ]
    if not rows:
        return None
    most = max(months[1:], key=lambda pair: pair[1].likely)
    asked = request.GET.urlencode()
    return {
        "source": f"{reverse('inventory:ready-chart')}?{asked or 'all'}",
        "height": HEIGHT,
        "sentence": f"Most become ready in {month_words(most[0])}: about "
        f"{plain(round(most[1].likely))}. The line on a bar goes from the least to the most.",
        "heads": ["Month", "About", "At least", "At most"],
        "rows": rows,
    }
