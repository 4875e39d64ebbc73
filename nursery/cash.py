"""Round what is paid in cash, where the smallest coins are gone.

Only the total paid in cash is rounded, never a tax or a price. Countries that share a
currency differ, and the rule of a country changes: the settings say what to check.
"""

from decimal import Decimal
from fractions import Fraction

from nursery.money import round_half_up

# The smallest cash in use, by ISO 4217 code. From memory, but for CAD: Government of Canada,
# Budget 2012.
USUAL_STEPS = {
    "AUD": Decimal("0.05"),
    "CAD": Decimal("0.05"),
    "CHF": Decimal("0.05"),
    "CZK": Decimal(1),
    "DKK": Decimal("0.50"),
    "HUF": Decimal(5),
    "NOK": Decimal(1),
    "NZD": Decimal("0.10"),
    "SEK": Decimal(1),
}


def usual_step(currency: str) -> Decimal:
    """Return the smallest amount of cash usual in a currency, or 0 where all can be paid."""
    return USUAL_STEPS.get(currency, Decimal(0))


def in_cash(amount: Decimal, step: Decimal) -> Decimal:
    """Round an amount to what cash can pay, a half away from zero: 4.92 is 4.90 by 0.05."""
    if not step:
        return amount
    return round_half_up(Fraction(amount) / Fraction(step), 0) * step
