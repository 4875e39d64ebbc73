"""Cost that no lot bears: space nobody used, and supplies that a count did not find.

It is expensed on the day it is for: the last day of its bill, or the day of the count.
"""

from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from django.db.models import F, QuerySet

from inventory.models import Bill, SupplyEntry
from nursery.money import to_millionths


class Unborne(NamedTuple):
    """An amount in millionths that was expensed on a day, in a category."""

    day: date
    category: str
    amount: int


def borne_by_none(since: date | None = None, on: date | None = None) -> Iterator[Unborne]:
    """Yield what no lot bears, from `since` to the day `on`, both included."""
    bills = expensed_bills().values_list("last_day", "category", "unused_amount")
    counts = supply_counts().values_list("date", F("supply__category"), "amount")
    for sign, name, rows in ((1, "last_day", bills), (-1, "date", counts)):
        for day, category, amount in rows.filter(**_within(name, since, on)):
            yield Unborne(day, category, sign * to_millionths(amount))


def expensed_bills() -> QuerySet:
    """Return the bills in force of which a part is expensed."""
    return Bill.objects.filter(reverses=None, reversed_by=None).exclude(unused_amount=0)


def supply_counts() -> QuerySet:
    """Return the counts of supplies in force that changed what the supplies are worth."""
    counts = SupplyEntry.objects.filter(kind=SupplyEntry.Kind.COUNTED, reversed_by=None)
    return counts.exclude(amount=0)


def _within(name, since, on):
    days = {"gte": since, "lte": on}
    return {f"{name}__{end}": day for end, day in days.items() if day}
