"""What the pictures of a lot say, and the tables that say the same."""

from collections.abc import Sequence

from django.urls import reverse
from django.utils.crypto import salted_hmac
from django.utils.html import format_html

from inventory.models import Lot
from inventory.own_time import word_for
from inventory.queries.life import life_of
from inventory.queries.stages import Stage
from inventory.queries.story import Story
from inventory.queries.wording import CATEGORY_WORDS
from nursery.templatetags.nursery_tags import money, plain, unit_cost

LIFE_HEIGHT, HEAD_HEIGHT, ROW_HEIGHT = 260, 64, 34


def cost_picture(lot: Lot, stages: list[Stage], counted: Sequence[str]) -> dict | None:
    """Return the sentence and the table of where the cost of one plant came from."""
    sums = category_sums(stages)
    if not sums:
        return None
    total, largest = sum(sums.values()), next(iter(sums))
    rows = [
        [_opening(c, counted), *(_each(s.costs.get(c)) for s in stages), _each(sums[c])]
        for c in sums
    ]
    in_all = [_each(sum(stage.costs.values())) for stage in stages]
    return {
        "source": f"{picture_url('inventory:lot-chart', lot)}&own_time={word_for(counted)}",
        "height": cost_height(sums),
        "sentence": f"One plant cost {money(total)}. Most of it is "
        f"{CATEGORY_WORDS[largest]}, {money(sums[largest])}.",
        "heads": ["For one plant", *(f"in {stage.container}" for stage in stages), "In all"],
        "rows": [*rows, ["In all", *in_all, _each(total)]],
    }


def life_picture(lot: Lot, story: Story) -> dict | None:
    """Return the sentence and the table of how many plants stood when."""
    stretches = life_of(story)
    if not stretches:
        return None
    lost = sum(number for stretch in stretches for _, number in stretch.losses)
    ending = f"; {plain(lost)} lost on the way, a cross for each time" if lost else ""
    begun = stretches[0].levels[0][1]
    return {
        "source": picture_url("inventory:lot-life-chart", lot),
        "height": LIFE_HEIGHT,
        "sentence": f"The band is as thick as there are plants: {plain(begun)} at the start, "
        f"{plain(stretches[-1].levels[-1][1])} in this lot now{ending}.",
        "heads": ["Day", "Lot", "Plants after"],
        "rows": [
            [f"{day:%d %b %Y}".lstrip("0"), stretch.lot.code, plain(number)]
            for stretch in stretches
            for day, number in stretch.levels
        ],
    }


def cost_height(categories) -> int:
    """Return how high the picture of so many categories is."""
    return HEAD_HEIGHT + ROW_HEIGHT * len(categories)


def picture_url(name: str, lot: Lot) -> str:
    """Return a picture's address, another one after each change of what the lot holds,
    so that a browser never shows a kept picture of what was before. The address tells no cost."""
    balance = lot.balance
    holds = f"{balance.on_hand}-{balance.cost}-{balance.last_on}"
    state = salted_hmac(__name__, holds).hexdigest()[:12]
    return f"{reverse(name, args=[lot.pk])}?narrow=1&state={state}"


def category_sums(stages: list[Stage]) -> dict:
    """Return the cost of one plant by category over all stages, the largest first."""
    sums: dict = {}
    for stage in stages:
        for category, amount in stage.costs.items():
            sums[category] = sums.get(category, 0) + amount
    return dict(sorted(sums.items(), key=lambda pair: -pair[1]))


def _opening(category: str, counted: Sequence[str]) -> str:
    """Write a category so that it opens the entries that made it, in the lot's story."""
    words, own_time = CATEGORY_WORDS[category].capitalize(), word_for(counted)
    return format_html('<a href="?cost={}&amp;own_time={}#story">{}</a>', category, own_time, words)


def _each(amount) -> str:
    return unit_cost(amount, "column") if amount else ""
