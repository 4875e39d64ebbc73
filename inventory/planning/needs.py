"""What a plan takes, and when: supplies, minutes, room and money."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.planning.answer import Row
from inventory.planning.ways import GROWING, ROOTING

Amount = Decimal | Fraction


@dataclass(frozen=True)
class Part:
    """So much of one supply for one plant, loose as it is bought, and what a unit costs."""

    supply: str
    unit: str
    quantity: Fraction
    price: Fraction


@dataclass(frozen=True)
class Takes:
    """What one plant takes when it is stuck or potted: supplies, minutes, and an hour's cost."""

    parts: tuple[Part, ...] = ()
    minutes: Fraction = Fraction(0)
    hourly: Fraction = Fraction(0)
    is_known: bool = False

    @property
    def each(self) -> Fraction:
        """What all of it costs for one plant."""
        supplies = sum((part.quantity * part.price for part in self.parts), Fraction(0))
        return supplies + self.minutes / 60 * self.hourly


@dataclass(frozen=True)
class Need:
    """One thing needed on a day: a supply in its unit, or minutes of work; and its money."""

    on: date
    what: str
    unit: str
    quantity: Fraction
    money: Fraction


@dataclass(frozen=True)
class Room:
    """The room plants take from one day to another, in square metres as they begin."""

    container: int
    begins: date
    ends: date
    area: Fraction


MINUTES = "minutes"
TakesOf = Callable[[str, int], Takes]


def needs_of(rows: Iterable[Row], takes: TakesOf) -> list[Need]:
    """Return what sticking and each potting take, in the order of days.

    `takes` tells what one plant takes on its way into a container: "stick" or "pot_up".
    """
    found = []
    for row in rows:
        if row.begun and row.stretch.stage in (ROOTING, GROWING):
            kind = "stick" if row.stretch.stage == ROOTING else "pot_up"
            found += _needs(row, takes(kind, row.stretch.container))
    return found


def _needs(row, takes):
    on, plants = row.stretch.begins, row.begun
    for part in takes.parts:
        quantity = part.quantity * plants
        yield Need(on, part.supply, part.unit, quantity, quantity * part.price)
    if takes.minutes:
        minutes = takes.minutes * plants
        yield Need(on, "Work", MINUTES, minutes, minutes / 60 * takes.hourly)


def rooms_of(rows: Iterable[Row], area_of_one: Mapping[int, Fraction | None]) -> list[Room]:
    """Return the room each stretch takes; containers of unknown room take none."""
    return [
        Room(row.stretch.container, row.stretch.begins, row.stretch.ends, area * row.begun)
        for row in rows
        if row.begun and (area := area_of_one.get(row.stretch.container))
    ]


def money_of(needs: Iterable[Need]) -> Fraction:
    """Return what all needs cost together."""
    return sum((need.money for need in needs), Fraction(0))


def cost_of_one(needs: Iterable[Need], ready: int) -> Fraction | None:
    """Return what one plant that is ready cost; those lost on the way are paid by the others.

    It is also the price that must be had for each, were all sold, to get the money back.
    """
    return money_of(needs) / ready if ready else None
