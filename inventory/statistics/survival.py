"""Which share of plants lives to an age, when some are sold or moved on before it."""

from collections.abc import Iterable
from math import exp, log, sqrt
from typing import NamedTuple

from inventory.statistics.proportions import USUAL, Interval, Tally, deviate, wilson


class Change(NamedTuple):
    """What happened to plants of one age: so many came under watch, were lost, or left alive."""

    age: int
    came: int = 0
    lost: int = 0
    left: int = 0


class Point(NamedTuple):
    """The share alive just after an age, of plants that were there from the beginning.

    `watched` is how many were under watch at that age, `lost` how many were lost at it.
    """

    age: int
    watched: int
    lost: int
    alive: float
    error: float
    interval: Interval


def survival(changes: Iterable[Change], confidence: float = USUAL) -> list[Point]:
    """Return the share alive after each age at which something happened, in order.

    Kaplan and Meier, J. Am. Stat. Assoc. 53:457 (1958); NIST/SEMATECH e-Handbook 8.2.1.5.
    A plant counts from the age at which it came under watch and up to the age at which it
    left: those that come at an age are watched at it, and those that leave at it were lost
    later or never. `error` is Greenwood's. The interval is that of log(-log), as Kalbfleisch
    and Prentice give it; where all or none live that has none, and Wilson's of the plants
    under watch stands in.
    """
    points: list[Point] = []
    watched, alive, spread = 0, 1.0, 0.0
    for age, came, lost, left in _by_age(changes):
        watched += came
        if not 0 <= lost + left <= watched:
            raise ValueError(f"{lost + left} of {watched} plants went at age {age}.")
        if not watched:
            continue
        if lost:
            alive *= 1 - lost / watched
            spread += lost / (watched * (watched - lost)) if watched > lost else 0.0
        interval = _interval(alive, spread, watched, confidence)
        points.append(Point(age, watched, lost, alive, alive * sqrt(spread), interval))
        watched -= lost + left
    return points


def alive_at(points: list[Point], age: int) -> Point | None:
    """Return the point that holds at an age; None where no plant was watched so long."""
    if not points or points[-1].age < age:
        return None
    return next((point for point in reversed(points) if point.age <= age), None)


def _by_age(changes):
    sums: dict[int, list[int]] = {}
    for age, *numbers in changes:
        row = sums.setdefault(age, [0, 0, 0])
        for place, number in enumerate(numbers):
            row[place] += number
    return [(age, *sums[age]) for age in sorted(sums)]


def _interval(alive, spread, watched, confidence):
    if not 0 < alive < 1:
        return wilson(Tally(alive * watched, watched), confidence)
    width = deviate(confidence) * sqrt(spread) / abs(log(alive))
    middle = log(-log(alive))
    return Interval(exp(-exp(middle + width)), exp(-exp(middle - width)))
