"""Write days and chances of targets and forecasts.

{{ target.ready_by|by_day }}     spring 2028, or 8 June 2027
{{ plan.week|in_week }}          in the week of 8 June 2027
{{ 14.25|about }}                14, an estimate of plants, and "under 1" where it is not none
{{ need|needed }}                Pots #1 107 pieces, or Work 3.9 hours
{{ room.area|area }}             3.1 m², or 33 ft² where the nursery measures in feet
"""

from decimal import Decimal
from fractions import Fraction
from math import ceil

from django import template

from inventory.forms.catalogue import SQUARE_METRES_IN_SQUARE_FOOT
from inventory.models import Nursery, Supply
from inventory.planning.needs import MINUTES, Need
from inventory.targets import by_words, week_words
from nursery.context import current_nursery
from nursery.money import round_half_up
from nursery.templatetags.nursery_tags import plain

FOOT = Fraction(SQUARE_METRES_IN_SQUARE_FOOT)
TEN = 10

register = template.Library()
register.filter("by_day", by_words)
register.filter("in_week", week_words)


@register.filter
def about(number) -> str:
    """Write an estimated number, to a whole one."""
    return plain(round(number)) if round(number) or not number else "under 1"


@register.filter
def needed(need: Need) -> str:
    """Write what is needed, as one would buy or plan it."""
    if need.unit == MINUTES:
        return f"{plain(round_half_up(need.quantity / 60, 1))} hours of work"
    whole = need.unit == Supply.Unit.PIECE.label
    quantity = ceil(need.quantity) if whole else rounded(need.quantity)
    return f"{need.what} {plain(quantity)} {need.unit}"


@register.filter
def area(square_metres) -> str:
    """Write an area in the units of the nursery."""
    unit = "ft²" if _in_feet() else "m²"
    return f"{plain(rounded(in_units(square_metres)))} {unit}"


@register.filter
def whole_percent(number) -> str:
    """Write an estimated share in percent, to a whole one."""
    return f"{plain(round(number))}%"


def in_units(square_metres):
    """Return square metres, or square feet where the nursery measures in them."""
    return square_metres / FOOT if _in_feet() else square_metres


def _in_feet():
    return current_nursery().units == Nursery.Units.US


def rounded(number) -> Decimal:
    """Round an estimate: to a tenth below ten, else to a whole number."""
    return round_half_up(number, 1 if number < TEN else 0)
