"""The work list: what is due by place, what is to be stuck, and one week of it for the bench."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.utils import timezone

from inventory.models import Nursery, Spraying
from inventory.queries.due_steps import BatchStep, due_steps
from inventory.queries.methods import ToStick, to_stick
from inventory.queries.spraying import closed_places

# The words of the page in the order in which they stand on it.
STATES = (
    ("overdue", "Overdue", "Its days are over and it was not ticked."),
    ("due", "Due now", "Any day of its time is as good as another."),
    ("coming", "Coming", "In the next weeks."),
)
ONE_WEEK = timedelta(days=7)


@dataclass(frozen=True)
class AtPlace:
    """What is to be done at one place; with no name where no place was said."""

    place: str
    rows: list[BatchStep]
    closed: Spraying | None = None

    @property
    def jobs(self) -> list["Job"]:
        """The steps of one name together, in the order of the first of each."""
        found: dict[str, list[BatchStep]] = {}
        for row in self.rows:
            found.setdefault(row.step.name, []).append(row)
        return [Job(name, rows) for name, rows in found.items()]


@dataclass(frozen=True)
class Job:
    """The same step of several batches at one place, which one walk does."""

    name: str
    rows: list[BatchStep]

    @property
    def plants(self) -> int:
        return sum(row.plants for row in self.rows)

    @property
    def pairs(self) -> list[str]:
        return [f"{row.batch.pk}-{row.step.pk}" for row in self.rows]


@dataclass(frozen=True)
class Stretch:
    """The steps of one state, place by place."""

    state: str
    title: str
    why: str
    places: list[AtPlace]

    @property
    def number(self) -> int:
        return sum(len(one.rows) for one in self.places)


@dataclass(frozen=True)
class WorkList:
    """All that is to be done, by urgency and place, and the methods to stick by."""

    stretches: list[Stretch]
    sticking: list[ToStick]

    @property
    def is_empty(self) -> bool:
        return not self.stretches and not self.sticking


@dataclass(frozen=True)
class Week:
    """A week from Monday to Sunday by ISO 8601, with its number and the year it belongs to."""

    monday: date

    @classmethod
    def of(cls, day: date) -> "Week":
        """Return the week in which a day lies."""
        return cls(day - timedelta(days=day.weekday()))

    @property
    def sunday(self) -> date:
        return self.monday + timedelta(days=6)

    @property
    def days(self) -> list[date]:
        return [self.monday + timedelta(days=n) for n in range(7)]

    @property
    def number(self) -> int:
        return self.monday.isocalendar().week

    @property
    def year(self) -> int:
        return self.monday.isocalendar().year

    @property
    def code(self) -> str:
        """Write it as ISO 8601 does: 2026-W48."""
        return f"{self.year}-W{self.number:02}"


def work_list(on: date, nursery: Nursery, *, weeks: int = 4, place: int | None = None) -> WorkList:
    """Return what is overdue, due and coming within some weeks, at all places or at one."""
    rows = due_steps(on, nursery, weeks=weeks)
    if place is not None:
        rows = [row for row in rows if any(lot.balance.place_id == place for lot in row.lots)]
    stretches = [
        Stretch(state, title, why, _by_place([row for row in rows if row.state == state]))
        for state, title, why in STATES
    ]
    sticking = to_stick(on, nursery, weeks=weeks) if place is None else []
    return WorkList([one for one in stretches if one.places], sticking)


def week_of_work(week: Week, nursery: Nursery) -> WorkList:
    """Return what is to be done in a week: what is open on its Monday or becomes due in it."""
    rows = [
        row for row in due_steps(week.monday, nursery, weeks=1) if row.window.first <= week.sunday
    ]
    stretches = [Stretch("", f"Week {week.number}", "", _by_place(rows))] if rows else []
    sticking = [
        row for row in to_stick(week.monday, nursery, weeks=1) if row.window.first <= week.sunday
    ]
    return WorkList(stretches, sticking)


def _by_place(rows: list[BatchStep]) -> list[AtPlace]:
    closed = closed_places(timezone.now()) if rows else {}
    found: dict[str, list[BatchStep]] = {}
    for row in rows:
        found.setdefault(str(row.place or ""), []).append(row)
    # Where no place was said comes last.
    names = sorted(found, key=lambda name: (not name, name))
    return [AtPlace(name, found[name], _closing(found[name], closed)) for name in names]


def _closing(rows, closed):
    place = rows[0].place
    return closed.get(place.pk) if place else None
