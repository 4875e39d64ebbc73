"""What roots, and how well: groups of batches, two compared, and batch by batch."""

from textwrap import shorten

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.forms.rooting import CompareForm, GroupedForm, OnePlantForm
from inventory.queries.rooting import (
    COMMON,
    IN_ORDER,
    Chart,
    Comparison,
    charted,
    grouped,
    together,
)
from inventory.queries.strikes import struck
from inventory.tables.rooting import ChartedTable, RootingTable
from nursery import charts
from nursery.listing import list_page
from nursery.templatetags.nursery_tags import percent

MOST_BARS, MOST_DOTS, MOST_NAMED = 14, 40, 6
FLAT, TALL = 32, 42
DOTS_HEIGHT = 280


@require_safe
def rooting(request: HttpRequest) -> HttpResponse:
    """Show how many rooted by what the batches have in common."""
    form = GroupedForm(request.GET)
    batches = struck(form.batches())
    by = form.grouping_of(batches)
    groups = grouped(batches, by)
    shown = _drawn(groups, by)
    return list_page(
        request,
        lambda rows: RootingTable(rows, by=by, words=COMMON[by].words),
        groups,
        template="inventory/rooting.html",
        context={
            "place": "growing",
            "asked": {"form": form},
            "plant": form.plant_chosen,
            "by": by,
            "by_words": COMMON[by].words,
            "all": together(batches),
            "comparable": len([group for group in groups if group.strike.counted]) > 1,
            "query": query_of(request),
            "source": f"{reverse('inventory:rooting-chart')}?{query_of(request)}",
            "height": bars_height(shown, is_tall=by == "plant"),
            "shown": len(shown),
        },
        export_name=f"rooting-by-{by}",
    )


@require_safe
def rooting_chart(request: HttpRequest) -> HttpResponse:
    """Draw the share that rooted of each group as a bar, with a line where it probably lies."""
    form = GroupedForm(request.GET)
    batches = struck(form.batches())
    by = form.grouping_of(batches)
    shown = _drawn(grouped(batches, by), by)
    names = [bar_name(group.name, by) for group in shown]

    def draw(axes):
        charts.ranges(
            axes,
            names,
            [float(group.strike.percent) for group in shown],
            [(group.low, group.high) for group in shown],
            lambda value: percent(round(value)),
            botanical=by == "plant",
        )

    return charts.svg_response(
        charts.svg(draw, *charts.size_asked(request, bars_height(shown, is_tall=by == "plant")))
    )


@require_safe
def rooting_compare(request: HttpRequest) -> HttpResponse:
    """Say which of two groups roots better, and whether there were enough cuttings to tell."""
    form = CompareForm(request.GET)
    batches = struck(form.batches())
    by = form.grouping_of(batches)
    groups = grouped(batches, by)
    pair = form.pair_of([group for group in groups if group.strike.counted])
    context = {
        "place": "growing",
        "asked": {"form": form},
        "by": by,
        "by_words": COMMON[by].words,
        "plant": form.plant_chosen,
        "compared": Comparison.of(*pair) if pair else None,
        "query": query_of(request),
    }
    return render(request, "inventory/rooting_compare.html", context)


@require_safe
def rooting_batches(request: HttpRequest) -> HttpResponse:
    """Show which batches struck so unlike the others that they had a cause."""
    form = OnePlantForm(request.GET)
    chart = charted(struck(form.batches()))
    rows = chart.rows if chart else []
    return list_page(
        request,
        ChartedTable,
        rows,
        template="inventory/rooting_batches.html",
        context={
            "place": "growing",
            "asked": {"form": form},
            "plant": form.plant_chosen,
            "chart": chart,
            "last": min(len(rows), MOST_DOTS),
            "query": query_of(request),
            "source": f"{reverse('inventory:rooting-batches-chart')}?{query_of(request)}",
            "height": DOTS_HEIGHT,
        },
        export_name="rooting-by-batch",
    )


@require_safe
def rooting_batches_chart(request: HttpRequest) -> HttpResponse:
    """Draw the batches as dots in the order they were stuck, and the limits of chance."""
    chart = charted(struck(OnePlantForm(request.GET).batches()))

    def draw(axes):
        if chart:
            draw_control_chart(axes, chart)

    return charts.svg_response(charts.svg(draw, *charts.size_asked(request, DOTS_HEIGHT)))


def draw_control_chart(axes, chart: Chart) -> None:
    """Draw the last batches, those beyond the limits as crosses with their code."""
    rows = chart.rows[-MOST_DOTS:]
    places = range(len(rows))
    least, most = [row.least for row in rows], [row.most for row in rows]
    axes.fill_between(places, least, most, step="mid", color=charts.TONES[3], lw=0)
    axes.axhline(100 * chart.usual, color=charts.TONES[1], lw=1.5)
    for place, row in enumerate(rows):
        is_odd = row.is_low or row.is_high
        mark = {"color": charts.CLAY, "mew": 3, "ms": 9} if is_odd else {"color": charts.LEAF}
        axes.plot(place, row.percent, "x" if is_odd else "o", **mark)
    odd = [(place, row) for place, row in enumerate(rows) if row.is_low or row.is_high]
    for place, row in odd[-MOST_NAMED:]:
        axes.annotate(
            row.batch.code,
            (place, row.percent),
            (0, -16 if row.is_low else 8),
            textcoords="offset points",
            ha="center" if 0 < place < len(rows) - 1 else "left" if place == 0 else "right",
        )
    ends = sorted({0, len(rows) - 1})
    axes.set_xticks(ends, [f"{rows[place].batch.started_on:%b %Y}" for place in ends])
    axes.set_xlim(-0.8, len(rows) - 0.2)
    lowest = min(*least, *(row.percent for row in rows))
    axes.set_ylim(lowest - 14, 108)
    ticks = [tick for tick in (0, 20, 40, 60, 80, 100) if tick > lowest - 14]
    axes.set_yticks(ticks, [f"{tick}%" for tick in ticks])


def query_of(request: HttpRequest) -> str:
    """Return what was asked for, without the order and the page of a list."""
    query = request.GET.copy()
    for name in ("sort", "page", "_export"):
        query.pop(name, None)
    return query.urlencode()


def _drawn(groups, by):
    """Return the counted groups that a picture has room for: the largest, in their order."""
    counted = [group for group in groups if group.strike.counted]
    largest = sorted(counted, key=lambda group: -group.strike.counted)[:MOST_BARS]
    return [group for group in counted if group in largest] if by not in IN_ORDER else counted


def bars_height(rows: list, *, is_tall: bool) -> int:
    """Return how high a picture of so many bars is, higher for names of two lines."""
    return 40 + (TALL if is_tall else FLAT) * max(len(rows), 1)


def bar_name(name: str, by: str) -> str:
    """Break a plant's name before its cultivar, and a long treatment between words."""
    return name.replace(" '", "\n'", 1) if by == "plant" else shorten(name, 30, placeholder="…")
