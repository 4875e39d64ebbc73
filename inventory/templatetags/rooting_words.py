"""Say in words what a comparison of two groups of batches found.

{{ compared|verdict }}          IBA 8000 ppm roots better.
{{ compared|compared_words }}   IBA 3000 ppm rooted 72 of 100, … 9 more in a hundred, …
"""

from django import template

from inventory.queries.rooting import Comparison
from inventory.templatetags.growing_tags import whole
from nursery.templatetags.nursery_tags import plain

register = template.Library()
# A difference of which more cuttings than this would tell is none that a nursery minds.
MOST_TO_ASK = 5_000


@register.filter
def verdict(compared: Comparison) -> str:
    """Say whether one is better, as far as can be told."""
    if compared.tells:
        return f"{_name(compared.better)} roots better."
    if _as_alike(compared):
        return "They root about alike."
    return "It cannot be told yet which roots better."


@register.filter
def compared_words(compared: Comparison) -> str:
    """Say how many rooted of each, how far apart they are, and whether that tells."""
    rooted = ", ".join(
        f"{_name(group)} rooted {whole(group.strike.rooted)} of {plain(group.strike.counted)}"
        for group in reversed(compared.both)
    )
    return f"{rooted}: {_apart(compared)}. {_telling(compared)}"


def _apart(compared):
    low, high = (round(bound) for bound in compared.interval)
    least = f"{-low} fewer" if low < 0 else f"{low}"
    near = round(compared.apart)
    words = f"{near} more in a hundred" if near else "as many in a hundred"
    return f"{words}, likely between {least} and {high} more"


def _telling(compared):
    if compared.tells:
        return f"Chance alone would do that {_times(compared.chance)}."
    if _as_alike(compared):
        return "If they differ at all, it would take thousands more of each to tell."
    return (
        f"Not enough cuttings to tell yet; about {plain(compared.more)} more of each, "
        f"{plain(compared.more_in_all)} in all, most likely would."
    )


def _as_alike(compared):
    return compared.more is None or compared.more > MOST_TO_ASK


def _times(chance):
    if chance < 0.001:
        return "less than once in 1,000 times"
    return f"about {max(1, round(1_000 * chance))} times in 1,000"


def _name(group):
    return group.name[:1].upper() + group.name[1:]
