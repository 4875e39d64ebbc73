"""Read which plants, how many and at what price, from the stand's form.

A basket lives in the page's address and in its form, never in the database: each plant
and container is one field `n-PLANT-CONTAINER` with its number, and may have `price-…`
and `lot-…` beside it. Plants taken by the label of their lot are a field of their own,
`n-PLANT-CONTAINER-LOT`, so that one sale may take the same plant from several lots.
`shown-…` says which list price the page showed: left as it stood in the price field, it
gives way to the one that applies to another buyer or number.
"""

import re
from collections.abc import Iterator, Mapping
from copy import copy
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.models import Container, Lot, Plant
from nursery.numbers import is_number
from sales.forms.amounts import read_amount, typed
from sales.models import Buyer, StandDay
from sales.operations import Item
from sales.queries.prices import Quote, SalePrices
from sales.queries.stand import lots_to_choose

NUMBER = re.compile(r"n-(\d{1,15})-(\d{1,15})(?:-(\d{1,15}))?")
MOST = 1_000_000


@dataclass(frozen=True)
class Piece:
    """The plants of a line that one lot gives, with the price of each."""

    plant: Plant
    container: Container
    lot: Lot
    quantity: int
    unit_price: Decimal
    reason: str

    @property
    def net(self) -> Decimal:
        return self.quantity * self.unit_price

    @property
    def cost(self) -> Fraction:
        """What these plants have cost so far."""
        balance = self.lot.balance
        return Fraction(balance.cost) * self.quantity / balance.on_hand


@dataclass
class BasketLine:
    """One plant and container on the way to being sold, as typed and as understood.

    `of_lot` is the key of the lot whose label was scanned, where one was.
    """

    plant: Plant
    container: Container
    typed_quantity: str
    typed_price: str
    shown_price: str | None
    lots: list[Lot]
    lot: Lot | None = None
    of_lot: int | None = None
    quantity: int = 0
    asked_price: Decimal | None = None
    pieces: list[Piece] = field(default_factory=list)
    quotes: list[Quote | None] = field(default_factory=list)
    error: str = ""

    @property
    def key(self) -> str:
        return key_of(self.plant.pk, self.container.pk, self.of_lot)

    @property
    def list_price(self) -> Decimal | None:
        """The one list price of all plants of the line, or None for none or several."""
        amounts = {quote.amount if quote else None for quote in self.quotes}
        return amounts.pop() if len(amounts) == 1 else None

    @property
    def list_prices(self) -> str:
        """The list prices as they stand in a field: usually one; several for several grades."""
        amounts = dict.fromkeys(quote.amount for quote in self.quotes if quote)
        return " ".join(map(typed, amounts))

    @property
    def price_field(self) -> str:
        """What stands in the price field: what was typed, else the list price."""
        if self.typed_price or self.list_price is None:
            return self.typed_price
        return typed(self.list_price)

    @property
    def reasons(self) -> list[str]:
        """Why the list prices apply, each with its number where there are several."""
        if self.is_overruled:
            return []
        found: dict[str, int] = {}
        for piece in self.pieces:
            found[piece.reason] = found.get(piece.reason, 0) + piece.quantity
        return [f"{n} × {why}" if len(found) > 1 else why for why, n in found.items() if why]

    @property
    def free(self) -> int:
        return sum(lot.free for lot in self._taken_from)

    @property
    def net(self) -> Decimal:
        return sum((piece.net for piece in self.pieces), Decimal(0))

    @property
    def unit_cost(self) -> Fraction | None:
        """What one plant of the line has cost so far; None where none is there."""
        taken = sum(piece.quantity for piece in self.pieces)
        return sum(piece.cost for piece in self.pieces) / taken if taken else None

    @property
    def is_below_cost(self) -> bool:
        return any(piece.reason and piece.net < piece.cost for piece in self.pieces)

    @property
    def is_overruled(self) -> bool:
        return self.asked_price is not None

    @property
    def has_changed(self) -> bool:
        """Whether another list price applies than the page showed."""
        shown = self.shown_price
        return not self.is_overruled and shown is not None and shown != self.list_prices

    def item(self) -> Item:
        """Return what the sale takes."""
        return Item(self.plant, self.container, self.quantity, self.lot, self.asked_price)

    def by_lot(self) -> Iterator[tuple[Lot, int]]:
        """Yield (lot, number) as the sale would take the plants, oldest lots first."""
        wanted = self.quantity
        for lot in self._taken_from:
            if number := min(wanted, lot.free):
                wanted -= number
                yield lot, number

    def without(self, taken: Mapping[int, int]) -> None:
        """Leave out of the lots to choose what labels took of them already."""
        for place, lot in enumerate(self.lots):
            if lot.pk in taken:
                self.lots[place] = rest = copy(lot)
                rest.free -= taken[lot.pk]

    @property
    def _taken_from(self):
        return [self.lot] if self.lot else self.lots


def read_basket(
    data: Mapping[str, str],
    on: date,
    buyer: Buyer | None = None,
    stand: StandDay | None = None,
) -> list[BasketLine]:
    """Return the lines that `data` asks for; a line's `error` says what is wrong with it."""
    asked = {
        tuple(int(part) if part else None for part in match.groups()): str(text).strip()
        for name, text in data.items()
        if (match := NUMBER.fullmatch(name)) and str(text).strip() not in ("", "0")
    }
    if not asked:
        return []
    plants = Plant.objects.in_bulk({plant for plant, _, _ in asked})
    containers = Container.objects.in_bulk({container for _, container, _ in asked})
    known = [key for key in asked if key[0] in plants and key[1] in containers]
    lots = lots_to_choose([key[:2] for key in known], stand)
    lines = [
        _line(data, asked[plant, container, lot], plants[plant], containers[container], lot, lots)
        for plant, container, lot in known
    ]
    _read_all(lines, data)
    numbers: dict[tuple[int, int], int] = {}
    for line in lines:
        key = (line.plant.pk, line.container.pk)
        numbers[key] = numbers.get(key, 0) + line.quantity
    prices = SalePrices(numbers, on=on, buyer=buyer)
    for line in lines:
        _price(line, prices)
    return lines


def key_of(plant: int, container: int, lot: int | None = None) -> str:
    """Return what names a line: its plant and container, and the lot whose label was scanned."""
    return "-".join(str(part) for part in (plant, container, lot) if part is not None)


def _line(data, number, plant, container, of_lot, lots):
    key = key_of(plant.pk, container.pk, of_lot)
    return BasketLine(
        plant,
        container,
        number,
        data.get(f"price-{key}", "").strip(),
        data.get(f"shown-{key}"),
        [lot for lot in lots[plant.pk, container.pk] if of_lot in (None, lot.pk)],
        of_lot=of_lot,
    )


def _read_all(lines, data):
    """Understand the lines: first those by label, so that the others leave them their plants."""
    taken: dict[int, int] = {}
    for line in sorted(lines, key=lambda line: line.of_lot is None):
        if line.of_lot is None:
            line.without(taken)
        _read(line, str(line.of_lot or data.get(f"lot-{line.key}", "")))
        if line.of_lot is not None:
            taken[line.of_lot] = taken.get(line.of_lot, 0) + line.quantity


def _read(line: BasketLine, lot: str) -> BasketLine:
    """Understand what was typed on a line, or say on it what would be right."""
    line.lot = next((one for one in line.lots if str(one.pk) == lot), None)
    line.quantity = _whole(line.typed_quantity)
    if not line.quantity:
        line.error = f"“{line.typed_quantity}” is not a number of plants. Write a whole number."
    elif line.quantity > line.free:
        line.error = _too_many(line)
    return line


def _price(line: BasketLine, prices: SalePrices) -> None:
    """Find the list prices of a line, and what was asked instead of them."""
    taken = list(line.by_lot())
    line.quotes = [prices.quote(line.plant.pk, line.container.pk, lot.grade) for lot, _ in taken]
    try:
        line.asked_price = _asked(line)
    except ValueError as error:
        line.error = line.error or str(error)
    line.pieces = [
        Piece(line.plant, line.container, lot, number, *_each(line.asked_price, quote))
        for (lot, number), quote in zip(taken, line.quotes, strict=True)
    ]


def _asked(line):
    """Return the price typed against the list's, if any. Raises ValueError where it is none."""
    if line.typed_price == line.shown_price:
        line.typed_price = ""
    if line.typed_price:
        price = read_amount(line.typed_price)
        if price < 0:
            raise ValueError("A price cannot be less than nothing.")
        return None if price == line.list_price else price
    if None in line.quotes:
        raise ValueError("No price yet. Enter one here, or in the price list.")
    return None


def _each(asked, quote):
    """Return the price of each and why it applies; nothing and no reason while there is none."""
    if asked is not None:
        return asked, "asked at the sale"
    return (quote.amount, quote.reason) if quote else (Decimal(0), "")


def _whole(text: str) -> int:
    return int(text) if is_number(text) and int(text) < MOST else 0


def _too_many(line):
    where = f"in lot {line.lot}" if line.lot else "free"
    if line.of_lot and not line.lots:
        where = "free of this lot"
    return (
        f"{line.free} {'is' if line.free == 1 else 'are'} {where}; {line.quantity} cannot be "
        "sold. Sell fewer, or count the lots first."
    )
