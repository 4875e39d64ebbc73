"""How long plants stood where: plant-days and area-days of a lot within a span of days.

A day counts for a place with the plants that stand there at its end, so plants that come
and go on one day take no room, and a lot sold on the fifth has used the four days before.
Days are ordinals (`date.toordinal`); areas whole square millimetres, so that weights are exact.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from operator import itemgetter
from typing import NamedTuple

from inventory.costing.spacing import SQUARE, area_per_plant

Step = tuple[int, int, int, int | None]
"""A day, a lot, by how many plants it grows on that day, and a place. Where the number is
none, the step says that the lot stands in that place from that day on."""

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
    found = stays_of_lots({0: opening}, steps, first_day, last_day).get(0, {})
    return {place: Stay(*stay) for place, stay in found.items()}


def stays_of_lots(
    opening: Mapping[int, int], steps: list[Step], first_day: int, last_day: int
) -> dict[int, dict[int | None, list[int]]]:
    """Return {lot: {place: the numbers of its stay}} of lots that held `opening` plants before.

    All lots are followed in one sweep through the days, which puts the steps in order. Of
    placements on one day the last given counts; one before the first day says where a lot
    stood when it began.
    """
    # Sorting keeps the order of the steps of one day.
    steps.sort(key=itemgetter(0))
    plants, places, since = dict(opening), {}, {}
    found: dict[int, dict[int | None, list[int]]] = defaultdict(dict)
    for day, lot, number, place in steps:
        if day > last_day:
            break
        held = plants.get(lot, 0)
        start = since.get(lot, first_day)
        if day > start:
            if held > 0:
                _stay(found[lot], places.get(lot), held, start, day)
            since[lot] = day
        if number:
            plants[lot] = held + number
        else:
            places[lot] = place
    for lot, held in plants.items():
        start = since.get(lot, first_day)
        if held > 0 and start <= last_day:
            _stay(found[lot], places.get(lot), held, start, last_day + 1)
    return dict(found)


def _stay(found, place, plants, day, until) -> None:
    """Add the days from `day` to the one before `until`."""
    stay = found.get(place)
    if stay is None:
        found[place] = [plants * (until - day), until - 1, plants]
    else:
        stay[0] += plants * (until - day)
        stay[1], stay[2] = until - 1, plants


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


def together(found: Collection[list[int]]) -> Stay:
    """Return the stays of one lot in several places, at least one, as one."""
    if len(found) == 1:
        (only,) = found
        return Stay(*only)
    _, last_day, plants = max(found, key=itemgetter(1))
    return Stay(sum(stay[0] for stay in found), last_day, plants)
