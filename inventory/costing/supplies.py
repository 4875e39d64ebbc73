"""What supplies cost as they are used: quantities and amounts in whole millionths."""

from decimal import ROUND_CEILING, Decimal
from fractions import Fraction


def cost_of_use(quantity: int, on_hand: int, value: int, last_price: Fraction) -> int:
    """Return what using `quantity` costs at the moving average, in millionths.

    The average is the value on hand over the quantity on hand; using all that is
    there takes all its value. What is used beyond that, and what is used where
    nothing of worth is there, costs the last price paid.
    """
    there = max(on_hand, 0)
    taken = min(quantity, there)
    if there and value >= 0:
        of_stock = (value * taken + there // 2) // there
    else:
        of_stock, taken = 0, 0
    beyond = (quantity - taken) * last_price
    return of_stock + int(beyond + Fraction(1, 2))


def loose_volume(in_the_pot: Decimal, settling_percent: Decimal) -> Decimal:
    """Return the loose medium that fills a pot once it has settled.

    By division: a medium that settles by a fifth needs 1/0.8 of the pot's volume,
    not 1.2 times it. Common practice.
    """
    if not 0 <= settling_percent < 100:
        raise ValueError("A medium settles by 0 percent or more, and by less than 100.")
    return in_the_pot / (1 - settling_percent / 100)


def packs_to_buy(needed: Decimal, on_hand: Decimal, pack_size: Decimal) -> int:
    """Return the whole packs that cover what is needed beyond what is there."""
    missing = max(needed - on_hand, Decimal(0))
    return int((missing / pack_size).to_integral_value(ROUND_CEILING))
