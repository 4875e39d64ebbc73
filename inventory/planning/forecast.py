"""How many plants become ready to sell in each month, and between which numbers.

The range of one month and kind holds so often that the true number lies below it once and
above it once in ten times. Over several kinds or months ranges are added end to end: what
strikes one, such as a hard winter, strikes them all, so that luck and bad luck are not
taken to even out.
"""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import date

from inventory.planning.answer import Coming
from inventory.statistics.spread import numbers_through
from inventory.statistics.starting import mean_of

LOW, HIGH = 0.9, 0.1  # reached nine times in ten, and once in ten times


@dataclass(frozen=True)
class Ready:
    """Plants that become ready: on average, and the ends between which they mostly lie."""

    likely: float = 0
    low: int = 0
    high: int = 0

    def __add__(self, other: "Ready") -> "Ready":
        return Ready(self.likely + other.likely, self.low + other.low, self.high + other.high)


def ready_of(coming: Coming) -> Ready:
    """Return how many of standing plants become ready."""
    plants, share = coming.standing.plants, coming.share
    low, high = numbers_through(plants, share, (LOW, HIGH))
    return Ready(plants * mean_of(share), low, high)


def by_month(
    rows: Iterable[tuple[Hashable, Coming]], months: int, today: date
) -> dict[tuple[Hashable, date], Ready]:
    """Return {(key, first of the month): what becomes ready} over so many months from today's.

    Plants that are ready already are in the month of today.
    """
    last = month_after(today.replace(day=1), months - 1)
    found: dict[tuple[Hashable, date], Ready] = {}
    for key, coming in rows:
        month = coming.ready_on.replace(day=1)
        if month <= last:
            found[key, month] = found.get((key, month), Ready()) + ready_of(coming)
    return found


def month_after(first: date, months: int) -> date:
    """Return the first of the month so many months later."""
    number = first.year * 12 + first.month - 1 + months
    return date(number // 12, number % 12 + 1, 1)
