"""What each place's space was used for over some days, and what the space cost."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.models import Bill, Container, Place
from inventory.queries.occupancy import Areas, Stays, occupied, square_metre_days, stays_in


@dataclass(frozen=True)
class Space:
    """The space of a place with its parts, or of the whole nursery where `place` is None.

    Areas are in square metres, None where the place's area is not known. `cost` is that
    of the bills shared by area, as far as their days and their space fall in here.
    """

    place: Place | None
    depth: int
    days: int
    area: Decimal | None
    used_area_days: Fraction
    cost: Fraction

    @property
    def area_days(self) -> Fraction | None:
        return None if self.area is None else Fraction(self.area) * self.days

    @property
    def unused_area_days(self) -> Fraction | None:
        """The space nobody used; none where the plants took more than there is."""
        if self.area_days is None:
            return None
        return max(self.area_days - self.used_area_days, Fraction(0))

    @property
    def used_percent(self) -> Fraction | None:
        return 100 * self.used_area_days / self.area_days if self.area_days else None

    @property
    def cost_per_area_day(self) -> Fraction | None:
        """What a square metre in use cost a day: all the cost over the space in use."""
        return self.cost / self.used_area_days if self.used_area_days else None


@dataclass(frozen=True)
class SpaceUsed:
    """The places of a span of days, the whole nursery, and the containers of unknown room."""

    rows: list[Space]
    whole: Space
    roomless: list[Container]


def space_used(first_day: date, last_day: date) -> SpaceUsed:
    """Return what each place's space was used for in a span, both days included."""
    areas, found = Areas(), stays_in(first_day, last_day)
    costs = list(_bill_costs(first_day, last_day))

    def space(key, depth):
        parts = None if key is None else areas.parts_of(key)
        used = sum(one.area_days or 0 for one in occupied(found, parts).values())
        return Space(
            areas.places.get(key),
            depth,
            found.days,
            areas.area(key),
            square_metre_days(used),
            _cost(costs, key, areas),
        )

    rows = [space(key, depth) for key, depth in _in_order(areas)]
    return SpaceUsed(rows, space(None, 0), _roomless(found))


def _in_order(areas: Areas, above: int | None = None, depth: int = 0) -> Iterator[tuple[int, int]]:
    """Yield each place with its depth, a place before its parts."""
    for key in areas.directly_in(above):
        yield key, depth
        yield from _in_order(areas, key, depth + 1)


def _bill_costs(first_day, last_day) -> Iterator[tuple[int | None, Fraction]]:
    """Yield the place of each bill in force and its cost within the span, day by day alike."""
    in_force = Bill.objects.filter(basis=Bill.Basis.AREA, reverses=None, reversed_by=None)
    for bill in in_force.filter(first_day__lte=last_day, last_day__gte=first_day):
        days = (bill.last_day - bill.first_day).days + 1
        within = (min(bill.last_day, last_day) - max(bill.first_day, first_day)).days + 1
        yield bill.place_id, Fraction(bill.amount) * within / days


def _cost(costs: Iterable, key: int | None, areas: Areas) -> Fraction:
    """Add up what bills say of a place and its parts, and its share by area of larger ones."""
    if key is None:
        return sum((cost for _, cost in costs), Fraction(0))
    inside, above = areas.parts_of(key), {*areas.above(key), None}
    total = Fraction(0)
    for place, cost in costs:
        if place in inside:
            total += cost
        elif place in above and areas.area(key) and areas.area(place):
            total += cost * Fraction(areas.area(key)) / Fraction(areas.area(place))
    return total


def _roomless(found: Stays) -> list[Container]:
    containers = {found.containers[lot] for lot, *_ in found.stretches}
    rows = Container.objects.filter(pk__in=containers, footprint_cm=None, spacing_cm=None)
    return list(rows)
