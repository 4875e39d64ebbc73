"""Foresee the invoice of a hand-over, and what the deposit pays of it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.models import Container, Plant
from nursery.context import current_currency
from nursery.money import currency_digits
from sales.models import HoldLine
from sales.operations.documents import tax_of_sale
from sales.queries.holds import HoldStanding, LineStanding
from sales.queries.prices import SalePrices


@dataclass(frozen=True)
class Piece:
    """Plants of a line at one price."""

    plant: Plant
    container: Container
    quantity: int
    unit_price: Decimal


@dataclass(frozen=True)
class HandingOver:
    """What an invoice would come to, what of it the deposit pays, and what stays open."""

    total: Decimal
    from_deposit: Decimal

    @property
    def open(self) -> Decimal:
        return self.total - self.from_deposit


def foresee_hand_over(
    standing: HoldStanding, numbers: Mapping[HoldLine, int], on: date, deposit: Decimal
) -> HandingOver | None:
    """Return what an invoice for those numbers comes to; None for no plants or no price."""
    wanted = [(one, numbers.get(one.line, 0)) for one in standing.lines]
    wanted = [(one, number) for one, number in wanted if number]
    buyer = standing.hold.buyer.kept
    bought: dict[tuple[int, int], int] = defaultdict(int)
    for one, number in wanted:
        bought[one.line.plant_id, one.line.container_id] += number
    prices = SalePrices(bought, on=on, buyer=buyer)
    pieces = [piece for one, number in wanted for piece in _pieces(one, number, prices)]
    if not pieces or None in pieces:
        return None
    tax = tax_of_sale(pieces, on, buyer, currency_digits(current_currency()))
    total = tax.net + tax.tax
    return HandingOver(total, min(total, deposit))


def _pieces(one: LineStanding, number: int, prices: SalePrices) -> Iterable[Piece | None]:
    """Yield the plants of a line by price, None where they have none.

    Without a price agreed, the list's for the grade of the lots that serve the line.
    """
    line = one.line
    if line.unit_price is not None:
        yield Piece(line.plant, line.container, number, line.unit_price)
        return
    for grade, plants in _by_grade(one, number):
        quote = prices.quote(line.plant_id, line.container_id, grade)
        yield quote and Piece(line.plant, line.container, plants, quote.amount)


def _by_grade(one, number):
    """Yield (grade, plants) of what serves a line; what nothing serves is of the line's grade."""
    for place in one.places:
        plants = min(number, place.portion.plants)
        if plants and not place.portion.is_growing:
            number -= plants
            yield place.balance.lot.grade, plants
    if number:
        yield one.line.grade, number
