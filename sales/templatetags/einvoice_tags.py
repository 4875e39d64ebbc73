"""Numbers as machines read them, whatever the language of the page."""

from decimal import Decimal

from django import template

register = template.Library()


@register.filter
def cents(amount: Decimal) -> str:
    """Write an amount with two decimals and a point."""
    return f"{amount:.2f}"


@register.filter
def decimal_text(number: Decimal) -> str:
    """Write a number with a point and no more digits than it has."""
    return f"{Decimal(number).normalize():f}"


@register.filter
def unlocalized(number: int) -> str:
    """Write a whole number without marks between thousands."""
    return str(number)
