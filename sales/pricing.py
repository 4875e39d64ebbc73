"""Go between cost, price, margin and markup.

Margin is a share of the price, markup a share of the cost: a plant that costs 1.00 and is to
leave 20 percent of its price sells at 1.25, not 1.20.  Answers are exact fractions; round
them where they are shown, with nursery.money.round_half_up.
"""

from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

from nursery.money import round_half_up

Amount = Decimal | Fraction | int

# What a price may end in: (step, first), both in units of the currency. Where a currency has no
# smaller unit, its hundreds take the place of units: .95 is then 95, 195, 295.
ENDINGS: dict[str, tuple[Fraction, Fraction]] = {
    ".00": (Fraction(1), Fraction(0)),
    ".25": (Fraction(1), Fraction(1, 4)),
    ".50": (Fraction(1), Fraction(1, 2)),
    ".75": (Fraction(1), Fraction(3, 4)),
    ".90": (Fraction(1), Fraction(9, 10)),
    ".95": (Fraction(1), Fraction(95, 100)),
    ".99": (Fraction(1), Fraction(99, 100)),
    ".00 or .50": (Fraction(1, 2), Fraction(0)),
    ".00 .25 .50 .75": (Fraction(1, 4), Fraction(0)),
    ".05": (Fraction(1, 20), Fraction(0)),
}


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


def round_to_ending(price: Amount, ending: str, digits: int, *, up: bool = False) -> Decimal:
    """Return the nearest price that ends so, or with `up` the next one that is not below.

    A half goes up. `ending` is one of ENDINGS, or blank for any the currency's `digits` allow.
    What is more than nothing never becomes nothing.
    """
    if ending:
        step, first = (part * (1 if digits else 100) for part in ENDINGS[ending])
    else:
        step, first = Fraction(1, 10**digits), Fraction(0)
    steps = (Fraction(price) - first) / step
    number = ceil(steps) if up else floor(steps + Fraction(1, 2))
    if price > 0:
        number = max(number, 0 if first else 1)
    return round_half_up(first + number * step, digits)


def raised(price: Amount, percent: Amount, ending: str, digits: int) -> Decimal:
    """Return a price raised by a percent, with the ending asked for; lowered by a minus.

    Rounding never turns it the other way: what would fall by a raise stays.
    """
    wanted = round_to_ending(price_with_markup(price, percent), ending, digits)
    standing = round_half_up(Fraction(price), digits)
    return max(wanted, standing) if percent >= 0 else min(wanted, standing)
