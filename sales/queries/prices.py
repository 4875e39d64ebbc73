"""Prices in force, and why each applies."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from django.db import connection

from inventory.models import Nursery
from nursery.context import current_nursery
from nursery.money import from_millionths
from sales.models import Buyer, Price, PriceList
from sales.queries.begun import begun

REASON_LENGTH = 80


@dataclass(frozen=True)
class Quote:
    """A price of one plant before tax, and why it applies."""

    amount: Decimal
    reason: str


class PriceBook:
    """The prices in force on a day, or the last ones where no day is given.

    Where a list has no price for a plant, the price of the stand list applies.
    """

    def __init__(self, on: date | None = None, plants: Collection[int] | None = None):
        self.prices: dict[tuple, dict[int, PriceRow]] = defaultdict(dict)
        for row in prices_in_force(on, plants):
            self.prices[row.list, row.plant_id, row.container_id, row.grade][row.least] = row

    def quote(
        self,
        plant: int,
        container: int,
        *,
        grade: str = "",
        number: int = 1,
        on_list: str = PriceList.STAND,
    ) -> Quote | None:
        """Return the price of one of `number` plants, or None where there is none.

        A price for the grade goes before one for every grade; of prices from so many
        plants on, the one with the largest number reached applies.
        """
        for name in dict.fromkeys((on_list, PriceList.STAND)):
            for of_grade in dict.fromkeys((grade, "")):
                breaks = self.prices.get((name, plant, container, of_grade), {})
                reached = [least for least in breaks if least <= number]
                if reached:
                    row = breaks[max(reached)]
                    return Quote(row.amount, _reason(row, on_list))
        return None

    def amount(self, plant: int, container: int, **more) -> Decimal | None:
        """Return the amount of `quote`, or None where there is no price."""
        quote = self.quote(plant, container, **more)
        return quote.amount if quote else None


class PriceRow(NamedTuple):
    """A price in force: what it is for, what it is, since when."""

    list: str
    plant_id: int
    container_id: int
    grade: str
    least: int
    amount: Decimal
    valid_from: date


def prices_in_force(
    on: date | None = None, plants: Collection[int] | None = None
) -> list[PriceRow]:
    """Return the last row of each price begun by that day, leaving out those ended."""
    with connection.cursor() as cursor:
        cursor.execute(*begun(Price, ", ".join(PriceRow._fields), on, plants))
        last = {row[:5]: row for row in cursor.fetchall()}
    return [
        PriceRow(*what, from_millionths(amount), since)
        for *what, amount, since in last.values()
        if amount is not None
    ]


class SalePrices:
    """The list prices of one sale: for its buyer, its day and the numbers in it.

    `numbers` holds the plants asked for by (plant, container). The nursery chose whether a
    price "from 10" counts each plant by itself or all plants of that container.
    """

    def __init__(self, numbers: Mapping[tuple[int, int], int], *, on: date, buyer: Buyer | None):
        self.book = PriceBook(on, {plant for plant, _ in numbers})
        self.list = buyer.list_in_use if buyer else PriceList.STAND
        self.numbers = dict(numbers)
        if current_nursery().counted_for_price == Nursery.Counted.SALE:
            of_size: dict[int, int] = defaultdict(int)
            for (_, container), number in numbers.items():
                of_size[container] += number
            self.numbers = {key: of_size[key[1]] for key in numbers}

    def quote(self, plant: int, container: int, grade: str) -> Quote | None:
        """Return the price of one plant of that grade in this sale."""
        number = self.numbers[plant, container]
        return self.book.quote(plant, container, grade=grade, number=number, on_list=self.list)


def _reason(row, asked_list):
    """Say which price applied, as "landscaper list, from 10"."""
    words = [f"{row.list} list"]
    if row.list != asked_list:
        words = [f"{row.list} list (not on the {asked_list} list)"]
    if row.least > 1:
        words.append(f"from {row.least}")
    if row.grade:
        words.append(f"grade {row.grade}")
    return ", ".join(words)[:REASON_LENGTH]
