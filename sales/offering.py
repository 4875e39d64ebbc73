"""What a list for buyers shows: its columns, their words, and numbers as far as they are told.

A column has a heading that documents can say, the words of a line for people and its value for
machines. Every form of the list, on paper or not, goes through the same columns.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Self

from django.db import models

from inventory.models import Container, Plant
from inventory.size_words import TOLD, range_of
from inventory.sizes import Size
from nursery.context import current_currency
from nursery.templatetags.nursery_tags import amount_without_sign, plain
from sales.documents.words import say
from sales.models import Numbers, PriceList
from sales.templatetags.paper_tags import day

PLENTY = 10


class First(models.TextChoices):
    """What a list goes by."""

    CONTAINER = "container", "container, then plant"
    PLANT = "plant", "plant, then container"


@dataclass(frozen=True)
class Offered:
    """Plants of one kind, container and grade on a list for buyers.

    `number` is a whole number, or as much as is told of it in words: "10+", "yes". They
    are ready now where `ready_on` is None; `price` is of one plant before tax; `size` is
    their height or spread, where they were measured.
    """

    plant: Plant
    container: Container
    grade: str
    number: int | str
    ready_on: date | None
    price: Decimal | None
    size: Size | None = None


@dataclass(frozen=True)
class Column:
    """A column of the list: its key for machines, its heading, its words and its value."""

    key: str
    heading: str
    value: Callable[[Offered], Any]
    words: Callable[[Offered], str]
    is_number: bool = False
    is_on_its_own: bool = True

    @property
    def title(self) -> str:
        """The heading in the language spoken."""
        return say(self.heading, currency=current_currency())


def _words_of_number(line):
    return plain(line.number) if isinstance(line.number, int) else say(line.number)


def words_of_size(range_told: str, sized_by: str) -> str:
    """Say how tall or wide plants are in the language spoken; nothing for no range."""
    return say(TOLD[sized_by], size=range_told) if range_told else ""


def _words_of_size(line):
    return words_of_size(range_of(line.size), line.plant.sized_by)


COLUMNS = {
    column.key: column
    for column in (
        Column("plant", "Plant", lambda line: line.plant.name, lambda line: line.plant.name),
        Column(
            "common_name",
            "Common name",
            lambda line: line.plant.common_name,
            lambda line: line.plant.common_name,
            # Where people read, it stands beneath the botanical name.
            is_on_its_own=False,
        ),
        Column("container", "Container", lambda line: line.container.code,
               lambda line: line.container.code),
        Column("grade", "Grade", lambda line: line.grade, lambda line: line.grade),
        Column("size", "Size", _words_of_size, _words_of_size),
        Column("available", "Available", lambda line: line.number, _words_of_number, True),
        Column("ready_on", "Ready from", lambda line: line.ready_on,
               lambda line: day(line.ready_on, "medium") if line.ready_on else say("now")),
        Column("price", "Each, {currency}", lambda line: line.price,
               lambda line: amount_without_sign(line.price), True),
    )
}  # fmt: skip
ALWAYS = ("plant", "container")
CHOSEN = tuple(key for key in COLUMNS if key not in ALWAYS)


@dataclass(frozen=True)
class Choice:
    """What one list shows. Without `ready_on` among the columns only ready plants are on it."""

    columns: tuple[str, ...] = CHOSEN
    on_list: str = PriceList.STAND
    container: str = ""
    first: str = First.CONTAINER
    numbers: str = Numbers.EXACT

    def without(self, column: str) -> Self:
        """Return the choice with one column less."""
        return replace(self, columns=tuple(key for key in self.columns if key != column))

    @property
    def shown(self) -> list[Column]:
        """The columns in their order, the plant and the container always among them."""
        return [column for key, column in COLUMNS.items() if key in ALWAYS or key in self.columns]

    @property
    def grouped(self) -> list[Column]:
        """The columns where people read: beneath a container's heading it needs no column."""
        above = "container" if self.first == First.CONTAINER else ""
        return [one for one in self.shown if one.is_on_its_own and one.key != above]


def told(number: int, numbers: str) -> int | str:
    """Return as much of a number as is told: all of it, "10+", or "yes"."""
    if numbers == Numbers.YES:
        return "yes"
    if numbers == Numbers.CAPPED and number > PLENTY:
        return f"{PLENTY}+"
    return number
