"""Read which plants, how many and at what price, from the stand's form.

A basket lives in the page's address and in its form, never in the database: each plant
and container is one field `n-PLANT-CONTAINER` with its number, and may have `price-…`
and `lot-…` beside it.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.models import Container, Lot, Plant
from sales.forms.amounts import read_amount, typed
from sales.operations import Item
from sales.queries.prices import price_list
from sales.queries.stand import lots_to_choose

NUMBER = re.compile(r"n-(\d{1,15})-(\d{1,15})")
MOST = 1_000_000


@dataclass
class BasketLine:
    """One plant and container on the way to being sold, as typed and as understood."""

    plant: Plant
    container: Container
    typed_quantity: str
    typed_price: str
    lots: list[Lot]
    list_price: Decimal | None = None
    lot: Lot | None = None
    quantity: int = 0
    asked_price: Decimal | None = None
    error: str = ""

    @property
    def key(self) -> str:
        return f"{self.plant.pk}-{self.container.pk}"

    @property
    def price_field(self) -> str:
        """What stands in the price field: what was typed, else the list price."""
        if self.typed_price or self.list_price is None:
            return self.typed_price
        return typed(self.list_price)

    @property
    def free(self) -> int:
        lots = [self.lot] if self.lot else self.lots
        return sum(lot.balance.on_hand for lot in lots)

    @property
    def unit_price(self) -> Decimal:
        """The price asked for, else the list price; nothing while there is none."""
        if self.asked_price is not None:
            return self.asked_price
        return self.list_price if self.list_price is not None else Decimal(0)

    @property
    def net(self) -> Decimal:
        return self.quantity * self.unit_price

    @property
    def is_overruled(self) -> bool:
        return self.asked_price is not None

    def item(self) -> Item:
        """Return what the sale takes."""
        return Item(self.plant, self.container, self.quantity, self.lot, self.asked_price)


def read_basket(data: Mapping[str, str], on: date) -> list[BasketLine]:
    """Return the lines that `data` asks for; a line's `error` says what is wrong with it."""
    asked = {
        tuple(map(int, match.groups())): str(text).strip()
        for name, text in data.items()
        if (match := NUMBER.fullmatch(name)) and str(text).strip() not in ("", "0")
    }
    if not asked:
        return []
    plants = Plant.objects.in_bulk({plant for plant, _ in asked})
    containers = Container.objects.in_bulk({container for _, container in asked})
    known = [key for key in asked if key[0] in plants and key[1] in containers]
    lots, prices = lots_to_choose(known), price_list(on)
    return [
        _read(
            BasketLine(
                plants[key[0]],
                containers[key[1]],
                asked[key],
                data.get(f"price-{key[0]}-{key[1]}", "").strip(),
                lots[key],
                prices.get(key),
            ),
            data.get(f"lot-{key[0]}-{key[1]}", ""),
        )
        for key in known
    ]


def _read(line: BasketLine, lot: str) -> BasketLine:
    """Understand what was typed on a line, or say on it what would be right."""
    line.lot = next((one for one in line.lots if str(one.pk) == lot), None)
    line.quantity = _whole(line.typed_quantity)
    try:
        _read_price(line)
    except ValueError as error:
        line.error = str(error)
    if not line.quantity:
        line.error = f"“{line.typed_quantity}” is not a number of plants. Write a whole number."
    elif line.quantity > line.free:
        line.error = _too_many(line)
    return line


def _read_price(line):
    if line.typed_price:
        price = read_amount(line.typed_price)
        if price < 0:
            raise ValueError("A price cannot be less than nothing.")
        line.asked_price = None if price == line.list_price else price
    elif line.list_price is None:
        raise ValueError("No price yet. Enter one here, or in the price list.")


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and int(text[:9]) < MOST else 0


def _too_many(line):
    where = f"in lot {line.lot}" if line.lot else "free"
    return (
        f"{line.free} {'is' if line.free == 1 else 'are'} {where}; {line.quantity} cannot be "
        "sold. Sell fewer, or count the lots first."
    )
