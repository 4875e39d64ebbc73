"""Money on buyers' accounts: paid by them and not used for a document yet."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from itertools import accumulate

from django.db.models import QuerySet, Sum

from sales.models import Buyer, Payment


def on_account(buyer: Buyer, on: date | None = None) -> Decimal:
    """Return what lies on a buyer's account, at the end of a day or now."""
    rows = _rows_of(buyer)
    if on:
        rows = rows.filter(date__lte=on)
    return rows.aggregate(sum=Sum("amount"))["sum"] or Decimal(0)


def free_on_account(buyer: Buyer, on: date) -> Decimal:
    """Return what can be taken off an account on a day: what is there then and ever after."""
    days: dict[date, Decimal] = defaultdict(Decimal)
    for day, amount in _rows_of(buyer).values_list("date", "amount"):
        days[max(day, on)] += amount
    days[on] += Decimal(0)
    return min(accumulate(days[day] for day in sorted(days)))


def account_rows(entries: Iterable[Buyer], most: int = 12) -> QuerySet:
    """Return what came onto the account of a buyer's entries and went off it, the latest first."""
    rows = Payment.objects.in_force().filter(buyer__in=[entry.pk for entry in entries])
    return rows.select_related("hold_deposit").order_by("-date", "-pk")[:most]


def _rows_of(buyer):
    return Payment.objects.filter(buyer__in=buyer.entries)
