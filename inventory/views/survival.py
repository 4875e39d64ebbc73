"""How many plants live: to an age, and through a winter."""

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.forms.survival import PARTED, SurvivalForm
from inventory.queries.survival import A_YEAR, Survivors, survivors, together
from inventory.queries.survival_rows import By, Since, causes_of_loss
from inventory.tables.survival import SurvivalTable
from inventory.views.rooting import bar_name, bars_height, query_of
from nursery import charts
from nursery.listing import list_page
from nursery.templatetags.nursery_tags import percent

MOST_BARS, CURVE_HEIGHT = 14, 280


@require_safe
def survival(request: HttpRequest) -> HttpResponse:
    """Show how many plants live, all together and by what they have in common."""
    form, today = SurvivalForm(request.GET), date.today()
    asked, by = form.asked, form.by_chosen
    groups = survivors(asked, by, today)
    shown = _drawn(groups)
    query = query_of(request)
    over = [group for group in groups if group.is_over]
    words = dict(PARTED)[by]
    return list_page(
        request,
        lambda rows: SurvivalTable(rows, by=by, words=words),
        groups,
        template="inventory/survival.html",
        context={
            "place": "growing",
            "asked": {"form": form},
            "plant": asked.plant,
            "since": asked.since,
            "is_winter": by.is_winter,
            "winter": (over or [None])[0 if by == By.NTH else -1] if by.is_winter else None,
            "all": together(asked, today, groups),
            "causes": causes_of_loss(asked, today),
            "source": f"{reverse('inventory:survival-chart')}?{query}",
            "height": CURVE_HEIGHT,
            "groups_source": f"{reverse('inventory:survival-groups-chart')}?{query}",
            "groups_height": bars_height(shown, is_tall=by == By.PLANT),
            "shown": shown,
        },
        export_name=f"survival-by-{by}",
    )


@require_safe
def survival_chart(request: HttpRequest) -> HttpResponse:
    """Draw the share alive by age as a falling step, with its bounds."""
    asked = SurvivalForm(request.GET).asked
    group = together(asked, date.today())

    def draw(axes):
        draw_curve(axes, group, asked.since)

    return charts.svg_response(charts.svg(draw, *charts.size_asked(request, CURVE_HEIGHT)))


@require_safe
def survival_groups_chart(request: HttpRequest) -> HttpResponse:
    """Draw the share alive of each group as a bar, with a line where it probably lies."""
    form = SurvivalForm(request.GET)
    by = form.by_chosen
    shown = _drawn(survivors(form.asked, by, date.today()))

    def draw(axes):
        charts.ranges(
            axes,
            [bar_name(group.name, by) for group in shown],
            [group.shown.percent for group in shown],
            [group.shown.likely for group in shown],
            lambda value: percent(round(value)),
            botanical=by == By.PLANT,
        )

    height = bars_height(shown, is_tall=by == By.PLANT)
    return charts.svg_response(charts.svg(draw, *charts.size_asked(request, height)))


def draw_curve(axes, group: Survivors, since: Since) -> None:
    """Draw the share alive from the beginning on, the years marked."""
    points = group.drawn
    ages = [0, *(point.age for point in points)]
    alive = [100.0, *(100 * point.alive for point in points)]
    low = [100.0, *(100 * point.interval.low for point in points)]
    high = [100.0, *(100 * point.interval.high for point in points)]
    axes.fill_between(ages, low, high, step="post", color=charts.TONES[3], lw=0)
    axes.step(ages, alive, where="post", color=charts.LEAF, lw=2.5)
    years = range(1, ages[-1] // A_YEAR + 1)
    axes.set_xticks(
        [0, *(A_YEAR * year for year in years)],
        ["potted" if since == Since.POTTED else "begun"]
        + [f"{year} year{'s' if year > 1 else ''}" for year in years],
    )
    lowest = min(low) - 4
    axes.set_ylim(max(0, lowest), 101)
    ticks = [tick for tick in range(0, 101, 5 if lowest > 75 else 20) if tick >= lowest]
    axes.set_yticks(ticks, [f"{tick}%" for tick in ticks])
    axes.grid(axis="y", color=charts.LINE, lw=0.8)


def _drawn(groups):
    """Return the groups that a picture has room for: the largest, in their order."""
    told = [group for group in groups if group.shown]
    largest = sorted(told, key=lambda group: -group.came)[:MOST_BARS]
    return [group for group in told if group in largest]
