"""Whether there will be room: square metres by week and place, of what grows and what is planned.

Plants stand where they stand until they are potted on, then where most plants in that
container stand now. Once they are ready they sell over a year, a twelfth each month.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from django.db.models import F, Sum

from inventory.costing.occupancy import SQUARE_MILLIMETRES_IN_SQUARE_METRE
from inventory.models import Lot, Place
from inventory.planning.ground import Overflow, Week, overflows, weeks_of
from inventory.planning.needs import Room
from inventory.planning.ways import GROWING, LINER, Stretch
from inventory.queries.occupancy import Areas, rooms_by_container
from inventory.queries.plans import Planner, targets
from inventory.statistics.starting import mean_of

WEEKS = 104
MONTHS_OF_SELLING = 12
A_MONTH = timedelta(days=30)


@dataclass(frozen=True)
class PlaceAhead:
    """A place with the room it has, and what is taken of it week by week."""

    place: Place
    area: Fraction
    weeks: list[Week]

    @property
    def fullest(self) -> Week:
        return max(self.weeks, key=lambda week: week.area)

    @property
    def percent(self) -> Fraction:
        """How much of the room the fullest week takes."""
        return 100 * self.fullest.area / self.area

    @property
    def overflows(self) -> list[Overflow]:
        return overflows(self.weeks, self.area)


def space_ahead(today: date) -> list[PlaceAhead]:
    """Return the places whose area is known and that plants will stand in, the fullest first."""
    planner = Planner(today)
    rooms: dict[int | None, list[Room]] = defaultdict(list)
    for place, room in (*_of_standing(planner), *_of_plans(planner)):
        rooms[place].append(room)
    areas = Areas()
    found = [
        PlaceAhead(areas.places[place], Fraction(area), weeks_of(taken, today, WEEKS))
        for place, taken in rooms.items()
        if place and (area := areas.area(place))
    ]
    return sorted(found, key=lambda row: (-row.percent, row.place.name))


def _of_standing(planner: Planner) -> Iterator[tuple[int | None, Room]]:
    area_of_one, usual = square_metres_of_one(), _usual_places()
    lots = Lot.objects.filter(balance__on_hand__gt=0).values_list(
        *("balance__place", "plant", "container", "container__kind", "began_on", "ready_on")
    )
    for place, plant, container, kind, since, ready_on, plants in lots.annotate(
        plants=F("balance__on_hand")
    ):
        stage = GROWING if kind == "sale" else LINER
        pot = container if stage == GROWING else planner.ways.first_pot(plant)
        if pot:
            way = planner.ways.way(plant, pot)
            stretches = way.on_from(stage, container, since, planner.today, ready_on)
            shares = planner.chances.shares(plant)
            begun = [(stretch, float(plants)) for stretch in stretches]
            for step in range(1, len(begun)):
                left = begun[step - 1][1] * mean_of(shares[stretches[step - 1].stage])
                begun[step] = (stretches[step], left)
            where = {container: place}
            yield from _rooms(begun, area_of_one, lambda key, at=where: at.get(key, usual.get(key)))


def _of_plans(planner: Planner) -> Iterator[tuple[int | None, Room]]:
    area_of_one, usual = square_metres_of_one(), _usual_places()
    for plan in planner.plans(list(targets())):
        if plan.is_to_stick:
            begun = [(row.stretch, float(row.begun)) for row in plan.answer.rows]
            yield from _rooms(begun, area_of_one, usual.get)


def _rooms(begun: list[tuple[Stretch, float]], area_of_one, place_of):
    """Yield the place and the room of each stretch, and of the year in which plants sell."""
    for stretch, plants in begun:
        if stretch.days and (area := area_of_one.get(stretch.container)):
            taken = area * round(plants)
            yield (
                place_of(stretch.container),
                Room(stretch.container, stretch.begins, stretch.ends, taken),
            )
    last, plants = begun[-1]
    area, place = area_of_one.get(last.container), place_of(last.container)
    for month in range(MONTHS_OF_SELLING if area else 0):
        left = area * round(plants) * (MONTHS_OF_SELLING - month) / MONTHS_OF_SELLING
        day = last.ends + A_MONTH * month
        yield place, Room(last.container, day, day + A_MONTH, left)


def _usual_places() -> dict[int, int]:
    """Return {container: the place where most plants in it stand now}."""
    here = Lot.objects.filter(balance__on_hand__gt=0, balance__place__isnull=False)
    rows = here.values_list("container", "balance__place").annotate(plants=Sum("balance__on_hand"))
    numbers: dict[int, Counter] = defaultdict(Counter)
    for container, place, plants in rows.order_by():
        numbers[container][place] += plants
    return {container: places.most_common(1)[0][0] for container, places in numbers.items()}


def square_metres_of_one() -> dict[int, Fraction | None]:
    """Return {container: square metres one plant takes, or None}."""
    return {
        key: area and Fraction(area, SQUARE_MILLIMETRES_IN_SQUARE_METRE)
        for key, area in rooms_by_container().items()
    }
