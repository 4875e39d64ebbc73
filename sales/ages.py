"""How long money is owed, in steps of thirty days past the day it was due."""

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import NamedTuple


class Age(NamedTuple):
    """A step: how it is called, and the fewest days past due it begins with."""

    key: str
    words: str
    since_days: int


CURRENT = Age("current", "not due yet", 0)
LATE = (
    Age("1-30", "1–30 days", 1),
    Age("31-60", "31–60 days", 31),
    Age("61-90", "61–90 days", 61),
    Age("over-90", "over 90 days", 91),
)
AGES = (CURRENT, *LATE)


def days_over(due_on: date, on: date) -> int:
    """Return the days past due, none where it is not due yet."""
    return max((on - due_on).days, 0)


def age_of(due_on: date, on: date) -> Age:
    """Return the age of what was due on a day; on the day itself it is current."""
    days = days_over(due_on, on)
    return next(age for age in reversed(AGES) if days >= age.since_days)


def last_due_day(age: Age, on: date) -> date:
    """Return the latest day on which what is now of this age, or older, was due."""
    return on - timedelta(days=age.since_days)


def doubtful(sums: Mapping[str, Decimal], percents: Mapping[str, Decimal]) -> Decimal:
    """Return what is likely not to come in: a percent of what is owed at each age, exact."""
    return sum((sums[key] * percent / 100 for key, percent in percents.items()), Decimal(0))
