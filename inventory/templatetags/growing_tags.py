"""Write the fractions that blended lots bring about.

{{ number|whole }}           34, rounded where it is a share of a blend, as the page then says
{{ part|exactly|share }}     a fraction as a decimal, for the other filters
"""

from fractions import Fraction

from django import template

from nursery.listing import exact
from nursery.templatetags.nursery_tags import plain

register = template.Library()


@register.filter
def whole(number: Fraction) -> str:
    """Write a number of plants, rounded; the page says where it is a share of a blend."""
    number = Fraction(number)
    return plain(round(number)) if round(number) or not number else "under 1"


@register.filter
def exactly(number):
    """Return a fraction as a decimal of six places."""
    return exact(number)
