"""Say in words how many plants live.

{{ all|lived_words:since }}      Of 100 potted up, 91 were alive a year on, likely 87 to 94.
{{ winter|winter_words }}        Of 100 that went into the winter of 2024–25, 94 came out alive, …
"""

from django import template

from inventory.queries.survival import Survivors
from inventory.queries.survival_rows import Since
from inventory.statistics.survival import Point
from nursery.templatetags.nursery_tags import plain

register = template.Library()
BEGINNINGS = {Since.POTTED: "potted up", Since.BEGUN: "begun"}


@register.filter
def lived_words(group: Survivors, since: Since) -> str:
    """Say how many of a hundred lived a year, or as long as any was watched."""
    point, when = group.year, "a year on"
    if point is None:
        point, when = group.end, f"{plain(group.end.age)} days on"
    return f"Of 100 {BEGINNINGS[since]}, {_alive(point)} alive {when}, {_likely(point)}."


@register.filter
def winter_words(group: Survivors) -> str:
    """Say how many of a hundred came out of a winter."""
    winter = f"the winter of {group.name}" if group.name[0].isdigit() else f"a {group.name.lower()}"
    point = group.end
    return f"Of 100 that went into {winter}, {_number(point)} came out alive, {_likely(point)}."


def _alive(point):
    number = _number(point)
    return f"{number} {'was' if number == '1' else 'were'}"


def _number(point: Point) -> str:
    near = round(100 * point.alive)
    if near == 100 and point.alive < 1:
        return "over 99"
    return "all" if near == 100 else "none" if point.alive == 0 else str(near)


def _likely(point):
    low, high = (round(100 * bound) for bound in point.interval)
    return f"likely {low} to {high}"
