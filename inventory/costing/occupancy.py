"""How long plants stood where: the stretches of days in which nothing about a lot changed.

A day counts for a place with the plants that stand there at its end, so plants that come
and go on one day take no room, and a lot sold on the fifth has used the four days before.
Days are ordinals (`date.toordinal`); areas whole square millimetres, so that weights are exact.
"""

from collections.abc import Iterable, Mapping
from operator import itemgetter
from typing import NamedTuple

from inventory.costing.spacing import SQUARE, area_per_plant

Step = tuple[int, int, int, int | None]
"""A day, a lot, by how many plants it grows on that day, and a place. Where the number is
none, the step says that the lot stands in that place from that day on."""

Stretch = tuple[int, int | None, int, int, int]
"""A lot, the place it stood in, how many plants it held, from which day, and until which:
the day after the last. In between neither its plants nor its place changed."""

MILLIMETRES_IN_CENTIMETRE = 10
SQUARE_MILLIMETRES_IN_SQUARE_METRE = 1_000_000


class Stay(NamedTuple):
    """What a lot used of one place: plants times days, the last day it held any there, how many."""

    plant_days: int
    last_day: int
    plants: int


def stays(
    opening: int,
    changes: Iterable[tuple[int, int]],
    placements: Iterable[tuple[int, int | None]],
    first_day: int,
    last_day: int,
) -> dict[int | None, Stay]:
    """Return {place: stay} of one lot that held `opening` plants before the first day."""
    steps = [(day, 0, number, None) for day, number in changes if number]
    steps += [(day, 0, 0, place) for day, place in placements]
    found: dict[int | None, Stay] = {}
    for _, place, plants, day, until in stretches({0: opening}, steps, first_day, last_day):
        before = found[place].plant_days if place in found else 0
        found[place] = Stay(before + plants * (until - day), until - 1, plants)
    return found


def stretches(
    opening: Mapping[int, int], steps: list[Step], first_day: int, last_day: int
) -> list[Stretch]:
    """Return the stretches within some days of lots that held `opening` plants before.

    All lots are followed in one sweep through the days, which puts the steps in order;
    the stretches of one lot stand in the order of days. Of placements on one day the last
    given counts; one before the first day says where a lot stood when it began.
    """
    # Sorting keeps the order of the steps of one day.
    steps.sort(key=itemgetter(0))
    states = {lot: (plants, None, first_day) for lot, plants in opening.items()}
    absent = (0, None, first_day)
    found: list[Stretch] = []
    for day, lot, number, place in steps:
        if day > last_day:
            break
        plants, stood, since = states.get(lot, absent)
        if not number and place == stood:
            continue
        if day > since:
            if plants > 0:
                found.append((lot, stood, plants, since, day))
            since = day
        states[lot] = (plants + number, stood, since) if number else (plants, place, since)
    until = last_day + 1
    found += [
        (lot, stood, plants, since, until)
        for lot, (plants, stood, since) in states.items()
        if plants > 0 and since < until
    ]
    return found


def room_of_one(
    footprint_cm: int | None, spacing_cm: int | None, pattern: str = SQUARE
) -> int | None:
    """Return the square millimetres one plant takes, or None where nobody has said.

    Pots that stand apart take their spacing; else they stand pot to pot.
    """
    centre_to_centre = spacing_cm or footprint_cm
    if not centre_to_centre:
        return None
    if not spacing_cm:
        pattern = SQUARE
    return round(area_per_plant(centre_to_centre * MILLIMETRES_IN_CENTIMETRE, pattern))
