"""How plants get from the cutting to the stand, and on which days.

A way is the tray in which cuttings root and the pots they then grow in. Read backwards from
the day on which plants are wanted it says when to stick; read onwards from where plants stand
it says when they will be ready.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

MonthAndDay = tuple[int, int]

A_YEAR = 365
ROOTING, LINER, GROWING = "rooting", "liner", "growing"


@dataclass(frozen=True)
class Stretch:
    """A stretch of a plant's life: the stage it is in, its container, first and last day."""

    stage: str
    container: int
    begins: date
    ends: date

    @property
    def days(self) -> int:
        return (self.ends - self.begins).days


@dataclass(frozen=True)
class Pot:
    """A container to grow on in: the day of the year of potting, and the fewest days it takes."""

    container: int
    potted_on: MonthAndDay
    days: int


@dataclass(frozen=True)
class Way:
    """From the tray through one pot or more, the last of which the plants are sold in."""

    tray: int
    root_days: int
    tray_days: int
    pots: tuple[Pot, ...]

    def back_from(self, ready_by: date) -> list[Stretch]:
        """Return the stretches of plants that are to be ready by a day, first to last.

        Plants are potted on the last potting day that leaves them the days they need.
        """
        found, ends = [], ready_by
        for pot in reversed(self.pots):
            begins = last_before(ends - timedelta(days=pot.days), pot.potted_on)
            found.append(Stretch(GROWING, pot.container, begins, ends))
            ends = begins
        stuck = ends - timedelta(days=self.tray_days)
        rooted = stuck + timedelta(days=min(self.root_days, self.tray_days))
        tray = [Stretch(ROOTING, self.tray, stuck, rooted), Stretch(LINER, self.tray, rooted, ends)]
        return [*tray, *reversed(found)]

    def in_time_for(self, ready_by: date, today: date) -> list[Stretch]:
        """Return `back_from`; where its days have passed and sticking today will do, from today."""
        usual = self.back_from(ready_by)
        if usual[0].begins >= today:
            return usual
        soon = self.on_from(ROOTING, self.tray, today, today)
        return soon if soon[-1].ends <= ready_by else usual

    def next_ready(self, ready_by: date, today: date) -> date:
        """Return the first anniversary of a day for which there is still time to stick."""
        while self.in_time_for(ready_by, today)[0].begins < today:
            ready_by = first_after(ready_by + timedelta(days=1), (ready_by.month, ready_by.day))
        return ready_by

    def on_from(
        self, stage: str, container: int, since: date, today: date, ready_on: date | None = None
    ) -> list[Stretch] | None:
        """Return what lies before plants that stand in a container since a day, from today on.

        In a tray they stand since they were stuck. None where this way does not lead through
        their container. In the pot they are sold in they are ready, unless the grower named a
        day, `ready_on`.
        """
        held = [place for place, pot in enumerate(self.pots) if pot.container == container]
        if stage == GROWING and not held:
            return None
        found = [] if stage == GROWING else self._tray_from(stage, container, since, today)
        pots = self.pots[held[0] :] if held else self.pots
        arrived = since if held else found[-1].ends
        for pot, following in pairwise([*pots, None]):
            grown = arrived + timedelta(days=pot.days)
            if following:
                leaves = first_after(max(grown, today), following.potted_on)
            else:
                leaves = max((ready_on or today) if len(pots) == 1 and held else grown, today)
            found.append(Stretch(GROWING, pot.container, max(arrived, today), leaves))
            arrived = leaves
        return found

    def _tray_from(self, stage, tray, stuck, today):
        potted = stuck + timedelta(days=self.tray_days)
        if potted < today:
            potted = first_after(today, self.pots[0].potted_on)
        rooted = min(max(stuck + timedelta(days=self.root_days), today), potted)
        if stage == ROOTING:
            return [Stretch(ROOTING, tray, today, rooted), Stretch(LINER, tray, rooted, potted)]
        return [Stretch(LINER, tray, today, potted)]


def last_before(day: date, of_year: MonthAndDay) -> date:
    """Return the last time a day of the year comes, not later than `day`."""
    found = _in_year(day.year, of_year)
    return found if found <= day else _in_year(day.year - 1, of_year)


def first_after(day: date, of_year: MonthAndDay) -> date:
    """Return the first time a day of the year comes, not earlier than `day`."""
    found = _in_year(day.year, of_year)
    return found if found >= day else _in_year(day.year + 1, of_year)


def monday_of(day: date) -> date:
    """Return the Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def usual_day(days: Mapping[date, int]) -> MonthAndDay:
    """Return the middle of {day: plants} as a day of the year, around New Year too.

    The year is read from the widest gap between the days on, so that November and February meet.
    """
    weights = Counter()
    for day, plants in days.items():
        weights[day.timetuple().tm_yday] += plants
    places = sorted(weights)
    gaps = [after - before for before, after in pairwise([*places, places[0] + A_YEAR])]
    first = places[(gaps.index(max(gaps)) + 1) % len(places)]
    middle = middle_of({p + A_YEAR * (p < first): plants for p, plants in weights.items()})
    found = date(2025, 1, 1) + timedelta(days=(middle - 1) % A_YEAR)
    return found.month, found.day


def middle_of(weights: Mapping[int, int]) -> int:
    """Return the number below and above which lie as many of the plants, of {number: plants}."""
    half, reached = sum(weights.values()) / 2, 0
    for number in sorted(weights):
        reached += weights[number]
        if reached >= half:
            return number
    raise ValueError("Nothing has no middle.")


def _in_year(year, of_year):
    month, day = of_year
    return date(year, month, 28 if (month, day) == (2, 29) else day)
