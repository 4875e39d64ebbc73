"""Work out sales tax.

Streamlined Sales and Use Tax Agreement, section 324: the computation is carried to the third
decimal place and rounded to a whole cent, up where the third decimal is above four; the rule
applies to the state and local tax together; the seller may elect to compute by item or by
invoice.  That is half-up in decimals.  Rounding to the third place first and then to the
second is not the rule, nor is rounding halves to even.

Tax law differs from place to place: check with your tax authority.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from inventory.costing.allocation import largest_remainder
from nursery.money import round_half_up

INVOICE_BASIS = "invoice"
ITEM_BASIS = "item"


def combined_percent(*percents: Decimal) -> Decimal:
    """Add state and local percents, because the sum is what tax is computed with."""
    return sum(percents, Decimal(0))


def tax_on(net: Decimal, percent: Decimal, digits: int) -> Decimal:
    """Return the tax on a net amount, rounded half-up to the currency's digits."""
    return round_half_up(Fraction(net) * Fraction(percent) / 100, digits)


class Piece(NamedTuple):
    """A number of one thing at the price asked for, and how it is taxed.

    `category` is a letter of UNCL5305: S standard, Z zero rated, E exempt, O outside the tax.
    """

    quantity: int
    price: Decimal
    category: str
    percent: Decimal


class TaxSum(NamedTuple):
    """The tax of all that is taxed alike: on what, and how much."""

    category: str
    percent: Decimal
    base: Decimal
    amount: Decimal

    @property
    def together(self) -> Decimal:
        return self.base + self.amount


def taxes_on(
    pieces: Sequence[Piece], digits: int, basis: str = INVOICE_BASIS, included: bool = False
) -> tuple[list[TaxSum], list[Decimal]]:
    """Return the taxes by category and percent, and what each piece brings before tax.

    "invoice" rounds once, on the sum of what is taxed alike; "item" rounds the tax of one
    thing and multiplies it. Where the prices include the tax it is taken out of them, and
    what is left is shared over the pieces so that it adds up.
    """
    if basis not in (INVOICE_BASIS, ITEM_BASIS):
        raise ValueError(f"“{basis}” is not a tax basis; it is “invoice” or “item”.")
    alike: dict[tuple, list[int]] = defaultdict(list)
    for place, piece in enumerate(pieces):
        alike[piece.category, piece.percent].append(place)
    sums, nets = [], [Decimal(0)] * len(pieces)
    for (category, percent), places in alike.items():
        those = [pieces[place] for place in places]
        asked = _asked(those)
        amount = _tax_in(those, asked, percent, digits, basis, included)
        base = asked - amount if included else asked
        sums.append(TaxSum(category, percent, base, amount))
        for place, net in zip(places, shared_net(those, base, digits), strict=True):
            nets[place] = net
    return sums, nets


def shared_net(pieces: Sequence[Piece], base: Decimal, digits: int) -> list[Decimal]:
    """Share what is left before tax over pieces taxed alike, by what was asked for each."""
    asked = [piece.quantity * piece.price for piece in pieces]
    if base == sum(asked):
        return asked
    unit = Decimal(1).scaleb(-digits)
    shares = largest_remainder(int(base / unit), [Fraction(one) for one in asked])
    return [share * unit for share in shares]


def _tax_in(pieces, asked, percent, digits, basis, included):
    rate = Fraction(percent) / (100 + Fraction(percent) if included else 100)
    if basis == INVOICE_BASIS:
        return round_half_up(Fraction(asked) * rate, digits)
    each = (
        piece.quantity * round_half_up(Fraction(piece.price) * rate, digits) for piece in pieces
    )
    return sum(each, Decimal(0))


def _asked(pieces: Iterable[Piece]) -> Decimal:
    return sum((piece.quantity * piece.price for piece in pieces), Decimal(0))


def parts_by_number(net: Decimal, numbers: Sequence[int]) -> list[Decimal]:
    """Share what a line brings over the numbers of plants it is made of, to a millionth."""
    shares = largest_remainder(int(net.scaleb(6)), list(numbers))
    return [Decimal(share).scaleb(-6) for share in shares]
