"""Go between cost, price, margin and markup.

Margin is a share of the price, markup a share of the cost: a plant that costs 1.00 and is to
leave 20 percent of its price sells at 1.25, not 1.20.  Answers are exact fractions; round
them where they are shown, with nursery.money.round_half_up.
"""

from decimal import Decimal
from fractions import Fraction

Amount = Decimal | Fraction | int


def price_for_margin(cost: Amount, margin_percent: Amount) -> Fraction:
    """Return the price that leaves this share of itself over the cost."""
    if margin_percent >= 100:
        raise ValueError("A margin is less than 100 percent of the price.")
    return Fraction(cost) / (1 - Fraction(margin_percent) / 100)


def price_with_markup(cost: Amount, markup_percent: Amount) -> Fraction:
    """Return the cost with a share of the cost added."""
    return Fraction(cost) * (1 + Fraction(markup_percent) / 100)


def margin_percent(price: Amount, cost: Amount) -> Fraction | None:
    """Return the margin as a percent of the price; None where the price is zero."""
    if price == 0:
        return None
    return (Fraction(price) - Fraction(cost)) / Fraction(price) * 100


def markup_percent(price: Amount, cost: Amount) -> Fraction | None:
    """Return the markup as a percent of the cost; None where the cost is zero."""
    if cost == 0:
        return None
    return (Fraction(price) - Fraction(cost)) / Fraction(cost) * 100
