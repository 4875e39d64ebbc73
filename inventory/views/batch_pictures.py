"""The pictures of a batch's account: cost by stage and category, and of a plant over time."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.models import Batch
from inventory.own_time import counted_in, word_for
from inventory.queries.batch_account import BatchAccount, account_of
from inventory.queries.wording import CATEGORY_WORDS
from inventory.views.pictures import cost_height
from nursery import charts
from nursery.listing import exact
from nursery.templatetags.nursery_tags import amount_without_sign, money, unit_cost

LINE_HEIGHT = 260
STAGES, LIFE = "stages", "life"


def pictures_of(account: BatchAccount, counted: tuple[str, ...]) -> list[dict]:
    """Return the pictures that have something to show, with their sentences and tables."""
    found = []
    if account.went_in:
        found.append(_by_stage(account))
    if len(account.points) > 1:
        found.append(_along_its_life(account))
    for picture in found:
        picture["source"] += f"&own_time={word_for(counted)}"
    return found


@require_safe
def batch_chart(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw the cost by category and stage, or of one plant along the batch's life."""
    account = account_of(get_object_or_404(Batch, pk=pk), counted_in(request))
    is_life = request.GET.get("by") == LIFE
    draw = _draw_life if is_life else _draw_stages
    height = LINE_HEIGHT if is_life else cost_height(account.went_in)
    size = charts.size_asked(request, height)
    return charts.svg_response(charts.svg(lambda axes: draw(axes, account), *size))


def _by_stage(account):
    went_in = _largest_first(account)
    most = next(iter(went_in))
    heads = ["In all", *(f"in {line.container}" for line in account.lines), "Together"]
    rows = [
        [CATEGORY_WORDS[c].capitalize(), *(_amount(ln.added.get(c)) for ln in account.lines), sum_]
        for c, sum_ in ((c, _amount(amount)) for c, amount in went_in.items())
    ]
    return {
        "source": _address(account, STAGES),
        "height": cost_height(went_in),
        "sentence": f"{money(exact(account.cost_in))} went in. Most of it is "
        f"{CATEGORY_WORDS[most]}, {money(exact(went_in[most]))}.",
        "heads": heads,
        "rows": rows,
    }


def _along_its_life(account):
    first, last = account.points[0], account.points[-1]
    return {
        "source": _address(account, LIFE),
        "height": LINE_HEIGHT,
        "sentence": f"What one plant here had cost: {money(exact(first[1]))} when it began, "
        f"{money(exact(last[1]))} on {last[0]:%d %B %Y}.",
        "heads": ["Day", "One plant had cost"],
        "rows": [
            [f"{day:%d %b %Y}".lstrip("0"), unit_cost(exact(cost), "column")]
            for day, cost in account.points
        ],
    }


def _address(account, by):
    """Return a picture's address, another one once the account is another."""
    state = f"{len(account.points)}-{exact(account.cost_in)}"
    return f"{reverse('inventory:batch-chart', args=[account.batch.pk])}?by={by}&state={state}"


def _draw_stages(axes, account):
    names = _largest_first(account)
    series = [
        charts.Series(
            f"in {line.container}",
            [line.added.get(category, 0) for category in names],
            charts.TONES[place % len(charts.TONES)],
            charts.HATCHES[place % len(charts.HATCHES)],
        )
        for place, line in enumerate(account.lines)
    ]
    words = [CATEGORY_WORDS[category] for category in names]
    charts.bars(axes, words, series, lambda value: money(round(value, 2)))


def _draw_life(axes, account):
    days = [day for day, _ in account.points]
    costs = [float(cost) for _, cost in account.points]
    axes.step(days, costs, where="post", color=charts.LEAF, lw=2.5)
    axes.set_ylim(bottom=0, top=max(costs, default=0) * 1.15 or 1)
    charts.by_day(axes)
    axes.yaxis.set_major_formatter(lambda value, _: amount_without_sign(round(value, 2)))
    axes.grid(axis="y", color=charts.LINE, lw=0.8)


def _largest_first(account):
    return dict(sorted(account.went_in.items(), key=lambda pair: -pair[1]))


def _amount(amount):
    return amount_without_sign(exact(amount)) if amount else ""
