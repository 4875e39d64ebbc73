"""Words of the list on the web.

{% said_of line %}     what a line tells: how many, from when, at what price
{% size_of line %}     how tall or wide its plants are, where they were measured
"""

from django import template

from sales.offering import words_of_size
from sales.public import PublicLine
from sales.public_news import words_of

register = template.Library()


@register.simple_tag
def said_of(line: PublicLine) -> str:
    """Say what a line tells, in the language spoken."""
    return words_of(line)


@register.simple_tag
def size_of(line: PublicLine) -> str:
    """Say how tall or wide the plants are, in the language spoken."""
    return words_of_size(line.size, line.sized_by)
