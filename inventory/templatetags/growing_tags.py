"""Write the fractions that blended lots bring about, and quantities of supplies.

{{ number|whole }}           34, rounded where it is a share of a blend, as the page then says
{{ part|exactly|share }}     a fraction as a decimal, for the other filters
{% own_time %}               whether own time is counted on this page, and the way to the other
{{ quantity|measured }}      a quantity of a supply, as one would weigh or measure it
{{ lot|size_of }}            18–24 in tall, where its plants were measured
{{ size|range_of }}          18–24 in, without the word for what was measured
"""

from fractions import Fraction
from uuid import uuid4

from django import template

from inventory import step_days
from inventory.costing.categories import OWN_TIME
from inventory.own_time import counted_in
from inventory.queries.money_entered import is_own_time_entered
from inventory.queries.supply_page import measured
from inventory.size_words import range_of, size_of
from nursery.listing import exact
from nursery.templatetags.nursery_tags import plain, query_replace

register = template.Library()
register.filter(measured)
register.filter(size_of)
register.filter(range_of)


@register.inclusion_tag("inventory/_own_time.html", takes_context=True)
def own_time(context) -> dict:
    """Say whether own time is counted, and link to the page with it or without."""
    is_counted = OWN_TIME in counted_in(context["request"])
    return {
        "request": context["request"],
        "shown": is_own_time_entered(),
        "is_counted": is_counted,
        "other": query_replace(context, own_time="without" if is_counted else "with"),
    }


@register.filter
def whole(number: Fraction) -> str:
    """Write a number of plants, rounded; the page says where it is a share of a blend."""
    number = Fraction(number)
    return plain(round(number)) if round(number) or not number else "under 1"


@register.filter
def exactly(number):
    """Return a fraction as a decimal of six places."""
    return exact(number)


@register.simple_tag
def new_request() -> str:
    """Return a new request id, for a form that is one button."""
    return str(uuid4())


@register.filter
def timing_words(step) -> str:
    """Say when it is time for a step: "10 to 14 weeks after the start"."""
    return step_days.timing_words(step)
