"""Words of the list on the web.

{% said_of line %}     what a line tells: how many, from when, at what price
"""

from django import template

from sales.public import PublicLine
from sales.public_news import words_of

register = template.Library()


@register.simple_tag
def said_of(line: PublicLine) -> str:
    """Say what a line tells, in the language spoken."""
    return words_of(line)
