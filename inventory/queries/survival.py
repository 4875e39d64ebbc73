"""How many plants live: to an age, and through a winter.

Each plant is under watch from the day it came into one of the lots asked for until it is
lost there or leaves it alive: sold, used, given, or moved on. Moves between lots of the same
beginning are none. An undone entry carries no plants and is left out, and so are plants that
a count missed and a later one found again; found beyond that, they came under watch then. A
plant that was sold and comes back is under watch again; one thrown out then left alive.

A lot's beginning is the day it began (`Since.BEGUN`), or the day its plants came into that
container from another (`Since.POTTED`), through however many lots of it they went. Its
place is where it stood as its first winter began.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from inventory.models import Container, Place, Plant
from inventory.queries.survival_rows import (
    FIRST_WINTER,
    STOOD,
    Asked,
    By,
    rows_by_age,
    rows_by_winter,
    winters_until,
)
from inventory.statistics.survival import Change, Point, alive_at, survival

A_YEAR = 365
FEWEST = 20  # common practice: below, one plant more or less moves the share by 5 percent
GROUPS = {By.PLANT: "lot.plant_id", By.CONTAINER: "lot.container_id", By.PLACE: STOOD}
ORDINALS = ("First", "Second", "Third", "Fourth", "Fifth")


@dataclass(frozen=True)
class Alive:
    """A point of the curve in percent, and where it likely lies."""

    percent: float
    low: float
    high: float

    @property
    def likely(self) -> tuple[float, float]:
        return self.low, self.high


@dataclass(frozen=True)
class Survivors:
    """Plants with something in common, and the share of them that lived."""

    key: int
    name: str
    changes: Sequence[Change]
    by: By = By.PLANT
    is_over: bool = True
    points: list[Point] = field(init=False)

    def __post_init__(self):
        object.__setattr__(self, "points", survival(self.changes))

    @property
    def came(self) -> int:
        return sum(change.came for change in self.changes)

    @property
    def lost(self) -> int:
        return sum(change.lost for change in self.changes)

    def after(self, days: int) -> Point | None:
        """Return the share alive at an age; None where none was watched so long."""
        return alive_at(self.points, days)

    @property
    def year(self) -> Point | None:
        return self.after(A_YEAR)

    @property
    def shown(self) -> Alive | None:
        """What a list shows: a year on, or as a winter ended."""
        return _percents(self.end if self.by.is_winter else self.year)

    @property
    def later(self) -> Alive | None:
        """Two years on, where enough were watched so long."""
        point = self.after(2 * A_YEAR)
        return _percents(point) if point and point.watched >= FEWEST else None

    @property
    def drawn(self) -> list[Point]:
        """The points until too few were watched to draw a line from them."""
        first = next(iter(self.points), None)
        least = min(FEWEST, first.watched) if first else 0
        return [point for point in self.points if point.watched >= least]

    @property
    def end(self) -> Point | None:
        return self.points[-1] if self.points else None


def survivors(asked: Asked, by: By, on: date) -> list[Survivors]:
    """Return the groups of plants as they lived until the day `on`, those with names."""
    if by.is_winter:
        rows = rows_by_winter(asked, on, FIRST_WINTER if by == By.NTH else "0")
        return _by_winter(rows, winters_until(on), by, on)
    return _by_age(rows_by_age(asked, on, GROUPS[by]), by)


def together(asked: Asked, on: date, parted: Sequence[Survivors] = ()) -> Survivors:
    """Return all plants that are asked for as one group, by their age.

    Where they were `parted` by plant already, nothing is asked anew: no plant becomes another.
    """
    if parted and all(group.by == By.PLANT for group in parted):
        return Survivors(0, "", [change for group in parted for change in group.changes])
    return Survivors(0, "", [Change(*map(int, row)) for _, *row in rows_by_age(asked, on)])


def _by_age(rows, by):
    changes = defaultdict(list)
    for key, *row in rows:
        changes[key].append(Change(*map(int, row)))
    model = {By.PLANT: Plant, By.CONTAINER: Container, By.PLACE: Place}[by]
    found = model.objects.filter(pk__in=changes)
    names = {0: "No place given"} | {row.pk: str(row) for row in found}
    groups = [Survivors(key, names[key], rows, by) for key, rows in changes.items()]
    return sorted(groups, key=lambda group: (group.year is None, -group.came, group.name))


def _by_winter(rows, winters, by, on):
    """Return the winters, or the first, the second and so on that plants went through."""
    ends = {winter.number: winter for winter in winters}
    changes = defaultdict(list)
    for first, number, *row in rows:
        if by == By.NTH and not 0 < first <= number:
            continue
        changes[number if by == By.WINTER else number - first + 1].append(Change(*map(int, row)))
    groups = []
    for key, found in sorted(changes.items()):
        name = str(ends[key]) if by == By.WINTER else nth_winter(key)
        is_over = by == By.NTH or ends[key].ends < on
        groups.append(Survivors(key, name, found, by, is_over))
    return [group for group in groups if group.points and not group.points[0].age]


def _percents(point):
    if point is None:
        return None
    return Alive(*(round(100 * share, 1) for share in (point.alive, *point.interval)))


def nth_winter(number: int) -> str:
    """Name the first winter of a plant, the second, and so on."""
    return f"{ORDINALS[number - 1]} winter" if number <= len(ORDINALS) else f"Winter {number}"
