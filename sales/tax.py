"""Work out sales tax.

Streamlined Sales and Use Tax Agreement, section 324: the computation is carried to the third
decimal place and rounded to a whole cent, up where the third decimal is above four; the rule
applies to the state and local tax together; the seller may elect to compute by item or by
invoice.  That is half-up in decimals.  Rounding to the third place first and then to the
second is not the rule, nor is rounding halves to even.

Tax law differs from place to place: check with your tax authority.
"""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from nursery.money import round_half_up

INVOICE_BASIS = "invoice"
ITEM_BASIS = "item"


def combined_percent(*percents: Decimal) -> Decimal:
    """Add state and local percents, because the sum is what tax is computed with."""
    return sum(percents, Decimal(0))


def tax_on(net: Decimal, percent: Decimal, digits: int) -> Decimal:
    """Return the tax on a net amount, rounded half-up to the currency's digits."""
    return round_half_up(Fraction(net) * Fraction(percent) / 100, digits)


def invoice_tax(
    lines: Iterable[tuple[int, Decimal]],
    percent: Decimal,
    digits: int,
    basis: str = INVOICE_BASIS,
) -> Decimal:
    """Return the tax on lines of (quantity, unit price), by the basis the seller has elected.

    "invoice" rounds once, on the sum; "item" rounds the tax of one piece and multiplies it.
    Where printed line nets are rounded, pass each as (1, net) on the invoice basis.
    """
    if basis == INVOICE_BASIS:
        net = sum(quantity * Fraction(price) for quantity, price in lines)
        return round_half_up(net * Fraction(percent) / 100, digits)
    if basis == ITEM_BASIS:
        pieces = (quantity * tax_on(price, percent, digits) for quantity, price in lines)
        return round_half_up(sum(pieces, Decimal(0)), digits)
    raise ValueError(f"“{basis}” is not a tax basis; it is “invoice” or “item”.")
