"""What was paid ahead: what is charged of it, what is still to come, what is due."""

from calendar import monthrange
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import QuerySet

from inventory.errors import LedgerError
from inventory.models import Bill, Nursery, PaidAhead
from inventory.queries.closed import closed_to
from nursery.money import round_to_currency

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True)
class NextPart:
    """The part that would be charged next. `until` is the day it is worked out to.

    Its days are shared by; they begin after what is closed, for nothing can be charged there.
    """

    first_day: date
    last_day: date
    until: date
    amount: Decimal


@dataclass(frozen=True)
class Standing:
    """An amount paid ahead, with the parts of it that are in force, the latest first."""

    row: PaidAhead
    parts: list[Bill]
    first_open: date | None
    currency: str

    @property
    def charged(self) -> Decimal:
        return sum((part.amount for part in self.parts), Decimal(0))

    @property
    def to_come(self) -> Decimal:
        return self.row.amount - self.charged

    @property
    def charged_to(self) -> date | None:
        """The last day that is charged, or None."""
        return max((part.last_day for part in self.parts), default=None)

    @property
    def percent(self) -> Fraction:
        """What is charged, in percent of it all."""
        return Fraction(100 * self.charged / self.row.amount)

    def worth(self, until: date) -> Decimal:
        """Return what the days from the first to `until` are worth, in whole cents.

        Worked out from the beginning each time, so that the parts add up to the amount.
        """
        days = (min(until, self.row.last_day) - self.row.first_day).days + 1
        if days >= self.row.days:
            return self.row.amount
        return round_to_currency(
            Fraction(self.row.amount) * max(days, 0) / self.row.days, self.currency
        )

    def next_part(self, until: date) -> NextPart:
        """Return the part from what is charged so far up to a day."""
        until = min(until, self.row.last_day)
        first = self.row.first_day
        if self.charged_to:
            first = max(first, self.charged_to + ONE_DAY)
        if self.first_open:
            first = max(first, self.first_open)
        return NextPart(first, max(first, until), until, self.worth(until) - self.charged)

    def due(self, today: date) -> NextPart | None:
        """Return the part of the months that are over, or None where none is due."""
        part = self.next_part(last_month_end(today))
        return part if part.amount > 0 and part.last_day <= today else None


def last_month_end(today: date) -> date:
    """Return the last day of a month that is over, today's where it is that day."""
    if today.day == monthrange(today.year, today.month)[1]:
        return today
    return today.replace(day=1) - ONE_DAY


def standings() -> list[Standing]:
    """Return what was paid ahead and is not undone, the earliest end first."""
    return _standings(paid_ahead().filter(reversed_by=None).order_by("last_day", "pk"))


def standing_of(row: PaidAhead) -> Standing:
    """Return how much of one amount is charged."""
    (found,) = _standings([row])
    return found


def due_parts(today: date) -> list[tuple[PaidAhead, NextPart]]:
    """Return what is to be charged of each amount paid ahead for the months that are over."""
    found = [(standing.row, standing.due(today)) for standing in standings()]
    return [(row, part) for row, part in found if part]


def paid_ahead() -> QuerySet:
    """Return all that was paid ahead, without the entries that undo it."""
    related = ("place", "entered_by", "reversed_by")
    return PaidAhead.objects.filter(reverses=None).select_related(*related)


def part_refused(standing: Standing, part: NextPart) -> LedgerError | None:
    """Return why a part cannot be charged, or None."""
    if standing.row.is_undone:
        return LedgerError("This was undone, so nothing of it is charged. Enter it anew.")
    if not standing.to_come:
        return LedgerError("All of it is charged already; nothing is left to come.")
    if part.amount <= 0:
        after = standing.charged_to or standing.row.first_day - ONE_DAY
        return LedgerError(
            f"Nothing is to be charged until {part.until.isoformat()}. Choose a day after "
            f"{after.isoformat()}.",
            field="until",
        )
    return None


def _standings(rows) -> list[Standing]:
    rows = list(rows)
    if not rows:
        return []
    parts = defaultdict(list)
    in_force = Bill.objects.filter(paid_ahead__in=rows, reverses=None, reversed_by=None)
    for part in in_force.order_by("-last_day", "-pk"):
        parts[part.paid_ahead_id].append(part)
    closed = closed_to()
    first_open = closed + ONE_DAY if closed else None
    currency = Nursery.current().currency
    return [Standing(row, parts[row.pk], first_open, currency) for row in rows]
