"""The availability list as buyers get it: one question, whatever form it takes."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import groupby

from django.utils import timezone

from inventory.models import Container
from sales.models import PriceList
from sales.offering import Choice, Column, First, Offered, told
from sales.queries.availability import availability, by_size_and_day
from sales.queries.taxes import tax_on_day


@dataclass(frozen=True)
class Offer:
    """The lines of a list for buyers on a day, with the choice that made it so."""

    choice: Choice
    on: date
    lines: list[Offered]
    tax_included: bool

    @cached_property
    def groups(self) -> list[tuple[Container | None, list[Offered]]]:
        """The lines of each container under it; by plant they are one list under nothing."""
        if self.choice.first == First.PLANT:
            return [(None, self.lines)] if self.lines else []
        return [(size, list(rows)) for size, rows in groupby(self.lines, lambda row: row.container)]

    @cached_property
    def columns(self) -> list[Column]:
        """The columns beneath those headings; one that is empty throughout is left out."""
        return [
            column
            for column in self.choice.grouped
            if any(column.value(line) not in (None, "") for line in self.lines)
        ]

    @property
    def has_prices(self) -> bool:
        return any(column.key == "price" for column in self.columns)

    @property
    def cautions(self) -> list[tuple[str, str]]:
        """Each poisonous plant on the list once, with what is noted of it."""
        said = {(line.plant.name, line.plant.poisonous): None for line in self.lines}
        return [pair for pair in said if pair[1]]


def offer(choice: Choice) -> Offer:
    """Return the list of today by a choice: plants that are ready, and those that will be."""
    today = timezone.localdate()
    rows = availability(
        container=choice.container,
        on_list=choice.on_list or PriceList.STAND,
        by_size="size" in choice.columns,
    )
    with_later = "ready_on" in choice.columns
    shows_price = choice.on_list and "price" in choice.columns
    lines = [
        Offered(
            row.plant,
            row.container,
            row.grade,
            told(row.available, choice.numbers),
            row.ready_on,
            row.price if shows_price else None,
            row.size,
        )
        for row in rows
        if with_later or row.ready_on is None
    ]
    if not any(line.size for line in lines):
        # Files then keep the columns they have where nothing was measured.
        choice = choice.without("size")
    return Offer(choice, today, sorted(lines, key=_by(choice)), tax_on_day(today).included)


def _by(choice) -> Callable[[Offered], tuple]:
    """Return the order of the list; what is ready stands before what will be."""

    def place(line):
        size, name = (line.container.position, line.container.code), line.plant.search_key
        both = (name, size) if choice.first == First.PLANT else (size, name)
        return *both, line.grade, *by_size_and_day(line)

    return place
