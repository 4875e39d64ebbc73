"""What lots used of the nursery's space: plants, days and area, in a place or everywhere.

Three statements read the holdings, the movements and the placements of a span, however
many lots there are; the rest is arithmetic in `inventory.costing.occupancy`.
"""

from collections import Counter, defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from django.db import connection

from inventory.costing.occupancy import (
    SQUARE_MILLIMETRES_IN_SQUARE_METRE,
    Step,
    Stretch,
    room_of_one,
    stretches,
)
from inventory.models import Container, Place
from inventory.queries.ledger_rows import UNDONE

# A lot that is empty now and had its last entry before the span held nothing in it.
HELD = """
SELECT b.lot_id, b.on_hand, lot.container_id FROM inventory_lotbalance b
JOIN inventory_lot lot ON lot.id = b.lot_id
WHERE b.on_hand > 0 OR b.last_on >= %s
"""
# A day is read as text, which no driver takes apart row by row: there are few days.
CHANGES = """
SELECT CAST(m.date AS text), m.from_lot_id, m.to_lot_id, m.quantity
FROM inventory_movement m JOIN inventory_carried c ON c.movement_id = m.id
WHERE m.date >= %s
ORDER BY m.date
"""
STANDING = f"""
SELECT CAST(p.date AS text), p.lot_id, p.place_id FROM inventory_placement p
JOIN inventory_lotbalance b ON b.lot_id = p.lot_id
WHERE p.date <= %s AND (b.on_hand > 0 OR b.last_on >= %s) AND p.operation_id NOT IN ({UNDONE})
ORDER BY p.date, p.operation_id, p.id
"""


class Occupied(NamedTuple):
    """What a lot used in a span: plant-days, area-days in mm² × days, its last day there.

    `area_days` is None where nobody has said how much room its container takes.
    """

    plant_days: int
    area_days: int | None
    last_day: date


@dataclass
class Stays:
    """Where every lot stood in a span of days, and the container of each lot."""

    first_day: date
    last_day: date
    stretches: list[Stretch] = field(default_factory=list)
    containers: dict[int, int] = field(default_factory=dict)

    @property
    def days(self) -> int:
        return (self.last_day - self.first_day).days + 1

    def within(self, places: Collection[int] | None) -> list[Stretch]:
        """Return the stretches in some places, or in all where `places` is None."""
        if places is None:
            return self.stretches
        return [stretch for stretch in self.stretches if stretch[1] in places]


def stays_in(first_day: date, last_day: date) -> Stays:
    """Return where every lot stood in the span, both days included."""
    ordinal = Ordinals()
    held, containers = _held(first_day)
    steps = _changes(held, first_day, last_day, ordinal)
    placements = _query(STANDING, [last_day, first_day])
    steps += [(ordinal[day], lot, 0, place) for day, lot, place in placements]
    found = stretches(held, steps, first_day.toordinal(), last_day.toordinal())
    return Stays(first_day, last_day, found, containers)


def occupancy(first_day: date, last_day: date, place: Place | None = None) -> dict[int, Occupied]:
    """Return {lot: what it used} of a place with its parts, or of the whole nursery."""
    return occupied(stays_in(first_day, last_day), None if place is None else parts_of(place))


def occupied(found: Stays, places: Collection[int] | None) -> dict[int, Occupied]:
    """Return {lot: what it used} of some places, or of all where `places` is None."""
    rooms = rooms_by_container()
    plant_days: Counter[int] = Counter()
    until: dict[int, int] = {}
    for lot, _, plants, day, end in found.within(places):
        plant_days[lot] += plants * (end - day)
        until[lot] = end
    used = {}
    for lot, number in plant_days.items():
        room = rooms[found.containers[lot]]
        area_days = None if room is None else room * number
        used[lot] = Occupied(number, area_days, date.fromordinal(until[lot] - 1))
    return used


def rooms_by_container() -> dict[int, int | None]:
    """Return {container: square millimetres one plant takes, or None}."""
    rows = Container.objects.values_list("pk", "footprint_cm", "spacing_cm", "spacing_pattern")
    return {key: room_of_one(*how) for key, *how in rows}


def parts_of(place: Place) -> set[int]:
    """Return a place and all that is part of it, by their keys."""
    return Areas().parts_of(place.pk)


class Areas:
    """The places with their parts and areas, read once."""

    def __init__(self):
        self.places = {place.pk: place for place in Place.objects.all()}
        self._parts = defaultdict(list)
        for place in self.places.values():
            self._parts[place.parent_id].append(place.pk)

    def parts_of(self, key: int) -> set[int]:
        """Return a place and all that is part of it."""
        return {key}.union(*(self.parts_of(part) for part in self._parts[key]))

    def directly_in(self, key: int | None) -> list[int]:
        """Return the parts of a place, but not theirs; of no place those in none."""
        return self._parts[key]

    def above(self, key: int) -> list[int]:
        """Return the places that a place is part of, the nearest first."""
        found = []
        while (key := self.places[key].parent_id) is not None:
            found.append(key)
        return found

    def area(self, key: int | None) -> Decimal | None:
        """Return the square metres of a place, of all where None; None where unknown.

        A place without an area of its own has that of its parts, if each has one.
        """
        own = self.places[key].area_m2 if key is not None else None
        parts = self._parts[key]
        if own is not None or not parts:
            return own
        areas = [self.area(part) for part in parts]
        return None if None in areas else sum(areas, Decimal(0))


def square_metre_days(area_days: int) -> Fraction:
    """Return mm² × days as m² × days."""
    return Fraction(area_days, SQUARE_MILLIMETRES_IN_SQUARE_METRE)


class Ordinals(dict):
    """Days as ordinals; databases hand them over as dates or as text, a few again and again."""

    def __missing__(self, day):
        found = day if isinstance(day, date) else date.fromisoformat(day)
        self[day] = found.toordinal()
        return self[day]


def _held(first_day):
    held, containers = {}, {}
    for lot, on_hand, container in _query(HELD, [first_day]):
        held[lot], containers[lot] = on_hand, container
    return held, containers


def _changes(held, first_day, last_day, ordinal) -> list[Step]:
    """Return the changes in the span, and take all since its first day off what is held."""
    changes = []
    last = last_day.toordinal()
    for day, source, target, quantity in _query(CHANGES, [first_day]):
        on = ordinal[day]
        if source is not None:
            held[source] += quantity
            if on <= last:
                changes.append((on, source, -quantity, None))
        if target is not None:
            held[target] -= quantity
            if on <= last:
                changes.append((on, target, quantity, None))
    return changes


def _query(statement, values):
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        return cursor.fetchall()
