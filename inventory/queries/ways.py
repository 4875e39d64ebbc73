"""How each plant is raised here: in which tray and pots, and on which days of the year.

The nursery's own potting of the last years tells; where there is none of a plant, that of all
plants, its method for the day to stick, and else what is common practice.
"""

from collections import Counter, defaultdict
from datetime import date, timedelta
from functools import cached_property

from django.db.models import Sum

from inventory.models import Batch, Container, Lot, Movement, Operation
from inventory.planning.ways import A_YEAR, Pot, Way, last_before, middle_of, usual_day
from inventory.queries.choices import first_container
from inventory.queries.methods import to_stick
from inventory.queries.to_do import WEEKS_TO_ROOT
from nursery.context import current_nursery

LOOKED_BACK = timedelta(days=4 * A_YEAR)
# Common practice: a growing season in the pot before plants are sold or shifted.
DAYS_IN_A_POT = 240
# Common practice: four months until cuttings have rooted, are hardened and can be potted.
LEAST_IN_TRAY = timedelta(days=120)
# Common practice: softwood cuttings are stuck about ten weeks into the growing season.
WEEKS_UNTIL_SOFTWOOD = 10
WEEKS_IN_YEAR = 52
ALL = None


class Ways:
    """The ways of all plants, read once."""

    def __init__(self, today: date):
        self._containers = {row.pk: row for row in Container.objects.all()}
        self._trays = defaultdict(Counter)
        self._tray_days = defaultdict(Counter)
        self._potted_on = defaultdict(Counter)
        self._came_from = defaultdict(Counter)
        self._read(today - LOOKED_BACK)
        nursery = current_nursery()
        self._season = (nursery.season_start_month, 1)
        self._stuck_on = {
            row.method.plant_id: (row.window.first.month, row.window.first.day)
            for row in to_stick(today, nursery, weeks=WEEKS_IN_YEAR)
            if row.method.plant_id
        }

    def way(self, plant: int, container: int) -> Way:
        """Return how a plant gets into the container it is to be sold in."""
        pots, tray = self._pots(plant, container), self._tray(plant)
        tray_days = self._days_in_tray(plant, tray, self._potting_day(plant, pots[0]))
        ways = [Pot(pot, self._potting_day(plant, pot), DAYS_IN_A_POT) for pot in pots]
        return Way(tray, WEEKS_TO_ROOT * 7, tray_days, tuple(ways))

    def origin(self, plant: int) -> str:
        """Say where the days of a plant come from."""
        if any(of == plant for of, _ in self._tray_days):
            return "those on which you mostly stuck and potted this plant"
        if plant in self._stuck_on:
            return "those of its method, and of your other potting"
        return "common practice, for you have not potted this plant yet"

    def first_pot(self, plant: int) -> int | None:
        """Return the container that rooted plants usually go into."""
        for whose in (plant, ALL):
            into = Counter()
            for (of, to), came_from in self._came_from.items():
                if of == whose and self._containers[to].for_sale:
                    into[to] += sum(n for c, n in came_from.items() if not self._for_sale(c))
            if +into:
                return into.most_common(1)[0][0]
        pots = [row for row in self._containers.values() if row.for_sale and row.in_use]
        return min(pots, key=lambda row: (row.code != "#1", row.position)).pk if pots else None

    @cached_property
    def _first_tray(self):
        tray = first_container("stick") or next(
            row for row in self._containers.values() if not row.for_sale
        )
        return tray.pk

    def _read(self, since):
        potted = Movement.objects.filter(
            operation__kind=Operation.Kind.POT_UP,
            kind=Movement.Kind.MOVED,
            carried__isnull=False,
            date__gte=since,
        )
        named = ("from_lot__plant", "from_lot__container", "to_lot__container", "date")
        rows = potted.values_list(*named, "from_lot__began_on").annotate(plants=Sum("quantity"))
        for plant, out_of, into, day, began_on, number in rows.order_by():
            for whose in (plant, ALL):
                self._potted_on[whose, into][day] += number
                self._came_from[whose, into][out_of] += number
            if not self._for_sale(out_of):
                self._tray_days[plant, out_of][(day - began_on).days] += number
        stuck = Lot.objects.filter(movements_in__batch__kind=Batch.Kind.STICK)
        for plant, tray, number in stuck.values_list("plant", "container").annotate(
            plants=Sum("movements_in__quantity")
        ):
            self._trays[plant][tray] += number
            self._trays[ALL][tray] += number

    def _for_sale(self, container):
        return self._containers[container].for_sale

    def _tray(self, plant):
        for whose in (plant, ALL):
            if self._trays[whose]:
                return self._trays[whose].most_common(1)[0][0]
        return self._first_tray

    def _days_in_tray(self, plant, tray, potted_on):
        if known := self._tray_days.get((plant, tray)):
            return middle_of(known)
        softwood = date(2025, self._season[0], 1) + timedelta(weeks=WEEKS_UNTIL_SOFTWOOD)
        stuck_on = self._stuck_on.get(plant, (softwood.month, softwood.day))
        potted = date(2025, *potted_on)
        return (potted - last_before(potted - LEAST_IN_TRAY, stuck_on)).days

    def _potting_day(self, plant, pot):
        for whose in (plant, ALL):
            if known := self._potted_on.get((whose, pot)):
                return usual_day(known)
        return self._season

    def _pots(self, plant, container):
        """Return the pots on the way to a container, itself the last."""
        found = [container]
        while (before := self._pot_before(plant, found[0])) and before not in found:
            found.insert(0, before)
        return found

    def _pot_before(self, plant, container):
        for whose in (plant, ALL):
            if known := self._came_from.get((whose, container)):
                out_of = known.most_common(1)[0][0]
                return out_of if self._for_sale(out_of) else None
        return self._half_as_large(self._containers[container])

    def _half_as_large(self, container):
        """Return the pot to grow on in before a large one: the largest of half its volume."""
        most = container.cubic_inches_min and container.cubic_inches_min / 2
        smaller = [
            row
            for row in self._containers.values()
            if most and row.for_sale and row.in_use and row.cubic_inches_min
            if row.cubic_inches_min <= most and row.ansi_class != "#SP4"
        ]
        return max(smaller, key=lambda row: row.cubic_inches_min).pk if smaller else None
