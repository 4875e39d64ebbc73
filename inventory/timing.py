"""When the steps of a method are due: days counted from a start, a frost, a season, a date.

Everything is arithmetic on days. A landmark is a day of the year, so that a season which
runs over the new year, as it does south of the equator, needs no rule of its own.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Protocol

from inventory.age import MonthAndDay, day_in_year

DAYS, CALENDAR = "days", "calendar"


class Step(Protocol):
    """What must be known of a step; `inventory.models.MethodStep` is one."""

    pk: int
    after_id: int | None
    timing: str
    from_days: int
    to_days: int


@dataclass(frozen=True)
class Window:
    """The days in which it is time for something, the last one included."""

    first: date
    last: date

    def state(self, on: date) -> str:
        """Say whether on that day it is still to come, due or overdue."""
        if on < self.first:
            return "coming"
        return "due" if on <= self.last else "overdue"


@dataclass(frozen=True)
class Span:
    """A stretch of days that comes once a year, about one or two days of the year."""

    first: MonthAndDay
    last: MonthAndDay
    from_days: int = 0
    to_days: int = 0

    def in_year(self, year: int) -> Window:
        """Return the stretch that begins about its first day in that year."""
        first = day_in_year(year, self.first)
        last = day_in_year(year + (self.last < self.first), self.last)
        return Window(first + timedelta(self.from_days), last + timedelta(self.to_days))

    def next_from(self, day: date) -> Window:
        """Return the next stretch that is not over on that day."""
        # An offset reaches at most some years back or on; the first that fits is the next.
        reach = 2 + (abs(self.from_days) + abs(self.to_days)) // 365
        stretches = (self.in_year(day.year + n) for n in range(-reach, reach + 1))
        return next(stretch for stretch in stretches if stretch.last >= day)


def span_of(step: Step, landmarks: Mapping[str, MonthAndDay | None]) -> Span | None:
    """Return the yearly stretch of a step that is not timed by days; None is not known yet."""
    if step.timing == CALENDAR:
        return Span((step.first_month, step.first_day), (step.last_month, step.last_day))
    day = landmarks.get(step.timing)
    return Span(day, day, step.from_days, step.to_days) if day else None


def windows(
    steps: Iterable[Step],
    begun_on: date,
    landmarks: Mapping[str, MonthAndDay | None],
    done: Mapping[int, date] | None = None,
) -> dict[int, Window | None]:
    """Return {step: its days} for a batch begun on a day.

    A step that comes after another counts from the day that one was `done`, else from
    its window. None where a frost is not told in the settings, or the steps go in a ring.
    """
    by_key = {step.pk: step for step in steps}
    found: dict[int, Window | None] = {}

    def base_of(step) -> Window | None:
        if step.after_id is None:
            return Window(begun_on, begun_on)
        if step.after_id in (done or {}):
            return Window(done[step.after_id], done[step.after_id])
        return window_of(by_key[step.after_id]) if step.after_id in by_key else None

    def window_of(step) -> Window | None:
        if step.pk not in found:
            # Met again on its own way, it is in a ring: nothing can be said.
            found[step.pk] = None
            base = base_of(step)
            found[step.pk] = base and _counted_from(step, base, landmarks)
        return found[step.pk]

    for step in by_key.values():
        window_of(step)
    return found


def _counted_from(step, base, landmarks):
    if step.timing == DAYS:
        return Window(base.first + timedelta(step.from_days), base.last + timedelta(step.to_days))
    span = span_of(step, landmarks)
    if span is None:
        return None
    stretch = span.next_from(base.first)
    return Window(max(stretch.first, base.first), stretch.last)
