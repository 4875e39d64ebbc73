"""Show the lists that buyers read.

{% words_of column line %}          what a column says of a line
{{ offer|names_commonly }}          whether common names were chosen
"""

from django import template

from sales.offering import Column, Offered

register = template.Library()


@register.simple_tag
def words_of(column: Column, line: Offered) -> str:
    """Say what a column says of a line, in the language spoken."""
    return column.words(line)


@register.filter
def names_commonly(offer) -> bool:
    """Say whether the plants' common names were chosen."""
    return "common_name" in offer.choice.columns
