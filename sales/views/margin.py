"""The margin: what sold plants brought, cost and left."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.own_time import counted_in
from nursery import charts
from nursery.listing import exact, list_page
from nursery.templatetags.nursery_tags import money, plain
from sales.forms.period import GROUPS, MarginForm
from sales.queries.margin import margin_by, margin_of_all
from sales.tables.margin import MarginTable, key_in_words

MOST_BARS = 12
FLAT, TALL = 32, 42


@require_safe
def margin(request: HttpRequest) -> HttpResponse:
    """Show the margin by plant, container, lot, batch, sale, buyer, way of selling or month."""
    form = MarginForm(request.GET)
    by, (since, until) = form.grouping, form.days
    counted = counted_in(request)
    rows = margin_by(by, since=since, on=until, counted=counted)
    shown = _shown(rows, by)
    return list_page(
        request,
        lambda found: MarginTable(found, by=by, order_by=None if by == "month" else "-margin"),
        rows,
        template="sales/margin.html",
        context={
            "place": "books",
            "form": form,
            "by": by,
            "by_word": GROUPS[by].lower(),
            "all": margin_of_all(since=since, on=until, counted=counted),
            "since": since,
            "until": until,
            "chart": f"{reverse('sales:margin-chart')}?{request.GET.urlencode()}",
            "chart_height": _height(shown, by),
            "chart_rows": [(key_in_words(row.key, by), money(exact(row.margin))) for row in shown],
            "chart_heads": (GROUPS[by], "Margin"),
            "chart_sentence": _sentence(by, len(shown), len(rows)),
        },
        export_name=f"margin-by-{by}",
    )


@require_safe
def margin_chart(request: HttpRequest) -> HttpResponse:
    """Draw the margin as bars, the largest first; months in their order."""
    form = MarginForm(request.GET)
    by, (since, until) = form.grouping, form.days
    shown = _shown(margin_by(by, since=since, on=until, counted=counted_in(request)), by)
    names = [_bar_name(row.key, by) for row in shown]
    series = [charts.Series("margin", [float(row.margin) for row in shown])]

    def draw(axes):
        charts.bars(
            axes,
            names,
            series,
            lambda value: plain(round(value)),
            botanical=by == "plant",
        )

    width, height = charts.size_asked(request, _height(shown, by))
    return charts.svg_response(charts.svg(draw, width, height))


def _shown(rows, by):
    """Return the rows a picture has room for."""
    if by == "month":
        return rows[-MOST_BARS:]
    return sorted(rows, key=lambda row: -row.margin)[:MOST_BARS]


def _sentence(by, shown, found):
    words = f"The margin of each {GROUPS[by].lower()}"
    if by == "month":
        return f"{words}{', the last months' if found > shown else ''}."
    if found > shown:
        return f"{words}: the {shown} largest of {found}."
    return f"{words}, the largest first."


def _height(rows, by):
    return 60 + (TALL if by == "plant" else FLAT) * max(len(rows), 1)


def _bar_name(key, by):
    """Break a plant's name before its cultivar, so that the bars keep their room."""
    return key.replace(" '", "\n'", 1) if by == "plant" else key_in_words(key, by)
