"""The pictures of a lot, drawn by the server."""

from datetime import date
from itertools import zip_longest

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from inventory.models import Lot
from inventory.own_time import counted_in
from inventory.queries.life import life_of
from inventory.queries.stages import stages_of
from inventory.queries.story import Story
from inventory.queries.wording import CATEGORY_WORDS
from inventory.views.pictures import LIFE_HEIGHT, category_sums, cost_height
from nursery import charts
from nursery.templatetags.nursery_tags import money, plain

TONES = charts.TONES
# Plants potted up soon after one another would write their numbers over each other.
LABEL_ROWS = 3


@require_safe
def lot_cost_chart(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw where the cost of one plant came from, by category and container."""
    lot = get_object_or_404(Lot.objects.select_related("container"), pk=pk)
    stages = stages_of(Story(lot, counted_in(request)))
    sums = category_sums(stages)
    series = [
        charts.Series(
            f"in {stage.container}",
            [stage.costs.get(category, 0) for category in sums],
            TONES[place % len(TONES)],
            charts.HATCHES[place % len(charts.HATCHES)],
        )
        for place, stage in enumerate(stages)
    ]
    names = [CATEGORY_WORDS[category] for category in sums]

    def draw(axes):
        charts.bars(axes, names, series, money)

    size = charts.size_asked(request, cost_height(names))
    return charts.svg_response(charts.svg(draw, *size))


@require_safe
def lot_life_chart(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw a band as thick as there are plants, from the cutting to now."""
    lot = get_object_or_404(Lot.objects.select_related("container"), pk=pk)
    stretches = life_of(Story(lot))

    def draw(axes):
        draw_life(axes, stretches, date.today())

    return charts.svg_response(charts.svg(draw, *charts.size_asked(request, LIFE_HEIGHT)))


def draw_life(axes, stretches: list, today: date) -> None:
    """Draw the stretches of a life one after another, and a cross for each loss."""
    most = max((number for stretch in stretches for _, number in stretch.levels), default=1)
    for place, (stretch, after) in enumerate(zip_longest(stretches, stretches[1:])):
        days, numbers = _until(stretch, after and after.levels[0][0], today)
        halves = [number / 2 for number in numbers]
        axes.fill_between(
            days,
            halves,
            [-half for half in halves],
            step="post",
            color=TONES[place % len(TONES)],
            hatch=charts.HATCHES[place % len(charts.HATCHES)],
            edgecolor=charts.PAPER,
            linewidth=0,
        )
        height = most * (0.62 + 0.17 * (place % LABEL_ROWS))
        axes.plot([days[0], days[0]], [halves[0], height], color=charts.SOFT, lw=0.8)
        axes.annotate(f"{plain(numbers[0])} in {stretch.lot.container}", (days[0], height))
        lost_on = [day for day, _ in stretch.losses]
        axes.plot(lost_on, [-0.62 * most] * len(lost_on), "x", color=charts.CLAY, mew=2.5, ms=8)
    _date_axis(axes, most)


def _until(stretch, end, today):
    """Return days and numbers of a stretch up to the day its plants went on."""
    levels = [level for level in stretch.levels if end is None or level[0] < end]
    levels = levels or stretch.levels[:1]
    last = end or (today if levels[-1][1] else levels[-1][0])
    levels = [*levels, (max(last, levels[-1][0]), levels[-1][1])]
    return [day for day, _ in levels], [number for _, number in levels]


def _date_axis(axes, most):
    charts.by_day(axes)
    axes.set_ylim(-0.75 * most, 1.15 * most)
    axes.set_yticks([])
