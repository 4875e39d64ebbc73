"""How long plants stood where: plant-days and area-days of a lot within a span of days.

A day counts for a place with the plants that stand there at its end, so plants that come
and go on one day take no room, and a lot sold on the fifth has used the four days before.
Days are ordinals (`date.toordinal`); areas whole square millimetres, so that weights are exact.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from inventory.costing.spacing import SQUARE, area_per_plant

Change = tuple[int, int]
"""A day, and by how many plants the lot grows on it."""
Standing = tuple[int, int | None]
"""A day, and the place in which the lot stands from its end on."""

MILLIMETRES_IN_CENTIMETRE = 10
SQUARE_MILLIMETRES_IN_SQUARE_METRE = 1_000_000


class Stay(NamedTuple):
    """What a lot used of one place: plants times days, the last day it held any there, how many."""

    plant_days: int
    last_day: int
    plants: int


def stays(
    opening: int,
    changes: Sequence[Change],
    placements: Sequence[Standing],
    first_day: int,
    last_day: int,
) -> dict[int | None, Stay]:
    """Return {place: stay} of a lot that held `opening` plants before the first day.

    Changes and placements stand in order of their days; of placements on one day the
    last counts, and one before the first day says where the lot stood when it began.
    """
    # Most lots stand in one place and lose nothing in a month; they need no merging.
    if not changes and (not placements or placements[-1][0] <= first_day):
        place = placements[-1][1] if placements else None
        days = last_day - first_day + 1
        return {place: Stay(opening * days, last_day, opening)} if opening else {}
    return _stepped(opening, _merged(changes, placements), first_day, last_day)


def _merged(changes, placements) -> list[tuple]:
    steps = [(day, number, False, None) for day, number in changes]
    steps += [(day, 0, True, place) for day, place in placements]
    # sorted() keeps the order of placements on one day.
    return sorted(steps, key=lambda step: step[0])


def _stepped(plants, steps, day, last_day) -> dict[int | None, Stay]:
    found: dict[int | None, Stay] = {}
    place = None
    for on, number, is_placed, stands_at in steps:
        if on > last_day:
            break
        if on > day:
            _stay(found, place, plants, day, on)
            day = on
        plants += number
        if is_placed:
            place = stands_at
    _stay(found, place, plants, day, last_day + 1)
    return found


def _stay(found, place, plants, day, until) -> None:
    """Add the days from `day` to the one before `until`."""
    if plants > 0 and until > day:
        before = found[place].plant_days if place in found else 0
        found[place] = Stay(before + plants * (until - day), until - 1, plants)


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


def together(found: Iterable[Stay]) -> Stay | None:
    """Return several stays as one, or None where there is none."""
    found = list(found)
    if not found:
        return None
    if len(found) == 1:
        return found[0]
    last = max(found, key=lambda stay: stay.last_day)
    return Stay(sum(stay.plant_days for stay in found), last.last_day, last.plants)
