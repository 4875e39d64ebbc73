"""How much room plants take week by week, and in which weeks a place overflows."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from inventory.planning.needs import Room
from inventory.planning.ways import monday_of

WEEK = timedelta(weeks=1)


@dataclass(frozen=True)
class Week:
    """One week of a place: its Monday and the square metres taken at the most."""

    monday: date
    area: Fraction


class Overflow(NamedTuple):
    """A span of weeks that take more than there is: first, last, and by how much at most."""

    first: Week
    last: Week
    by: Fraction


def weeks_of(rooms: Iterable[Room], first: date, weeks: int) -> list[Week]:
    """Return the room taken in each of so many weeks from the week of `first` on.

    Plants take their room from the week in which they come to the week in which they go, but
    in that last week only where they came in the same.
    """
    start = monday_of(first)
    taken = [Fraction(0)] * weeks
    for room in rooms:
        come = (monday_of(room.begins) - start).days // 7
        go = max((monday_of(room.ends) - start).days // 7, come + 1)
        for week in range(max(come, 0), min(go, weeks)):
            taken[week] += room.area
    return [Week(start + WEEK * number, area) for number, area in enumerate(taken)]


def overflows(weeks: Iterable[Week], area: Fraction) -> list[Overflow]:
    """Return each span of weeks that take more than there is."""
    found = []
    for is_over, span in groupby(weeks, key=lambda week: week.area > area):
        if is_over:
            rows = list(span)
            found.append(Overflow(rows[0], rows[-1], max(row.area for row in rows) - area))
    return found
