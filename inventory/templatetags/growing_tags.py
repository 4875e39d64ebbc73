"""Write the fractions that blended lots bring about.

{{ number|about }}           34, or about 34 where it is a share of a blend
{{ part|exactly|share }}     a fraction as a decimal, for the other filters
"""

from fractions import Fraction

from django import template

from nursery.listing import exact
from nursery.templatetags.nursery_tags import plain

register = template.Library()


@register.filter
def about(number: Fraction) -> str:
    """Write a number of plants, rounded and called so where it is no whole number."""
    number = Fraction(number)
    if number.denominator == 1:
        return plain(number.numerator)
    return f"about {plain(round(number))}" if round(number) else "under 1"


@register.filter
def exactly(number):
    """Return a fraction as a decimal of six places."""
    return exact(number)
