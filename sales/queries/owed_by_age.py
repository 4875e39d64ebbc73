"""What is owed and for how long, by document and by buyer, worked out for any day."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import Case, CharField, ExpressionWrapper, F, QuerySet, Sum, Value, When
from django.db.models.functions import Coalesce

from nursery.fields import MoneyField
from sales.ages import AGES, CURRENT, LATE, last_due_day
from sales.models import Buyer, Document, Payment
from sales.models.buyers import who_counts
from sales.queries.owed import may_have_been_owed, with_owed


def owed_on(on: date) -> QuerySet:
    """Return the sales on which something was owed at the end of a day, the oldest first.

    Each has `full`, `credited`, `paid`, `owed`, the day it `falls_due` and its `age` by key.
    """
    sold = Document.objects.filter(kind=Document.Kind.SALE, date__lte=on)
    return (
        with_owed(sold.filter(pk__in=may_have_been_owed(on)), on)
        .filter(cancelled=False, owed__gt=Decimal(0))
        .annotate(
            full=ExpressionWrapper(F("net") + F("tax"), output_field=MoneyField()),
            falls_due=Coalesce("due_on", "date"),
            age=_age(on),
        )
        .order_by("falls_due", "pk")
    )


def _age(on):
    steps = [
        When(falls_due__lte=last_due_day(age, on), then=Value(age.key)) for age in reversed(LATE)
    ]
    return Case(*steps, default=Value(CURRENT.key), output_field=CharField())


@dataclass
class BuyerOwes:
    """What one buyer owes by age, and what lies on their account; walk-ins are one row."""

    buyer: Buyer | None
    sums: dict[str, Decimal] = field(default_factory=lambda: dict.fromkeys(KEYS, Decimal(0)))
    on_account: Decimal = Decimal(0)

    @property
    def owed(self) -> Decimal:
        return sum(self.sums.values(), Decimal(0))

    @property
    def overdue(self) -> Decimal:
        return self.owed - self.sums[CURRENT.key]

    @property
    def name(self) -> str:
        return self.buyer.name if self.buyer else "walk-in"


KEYS = tuple(age.key for age in AGES)


def owed_by_buyer(on: date) -> list[BuyerOwes]:
    """Return what each buyer owed at the end of a day or had on account, the most first."""
    rows: dict[int | None, BuyerOwes] = {}
    found = owed_on(on).order_by().annotate(owing=who_counts("buyer"))
    sums = found.values("owing", "age").annotate(sum=Sum("owed"))
    owed = list(sums.values_list("owing", "age", "sum"))
    accounts = list(_accounts(on))
    buyers = Buyer.objects.in_bulk({key for key, *_ in (*owed, *accounts) if key})
    for key, age, amount in owed:
        rows.setdefault(key, BuyerOwes(buyers.get(key))).sums[age] += amount
    for key, amount in accounts:
        rows.setdefault(key, BuyerOwes(buyers[key])).on_account = amount
    return sorted(rows.values(), key=lambda row: (-row.owed, row.name))


def all_owed(rows: list[BuyerOwes]) -> BuyerOwes:
    """Return the sum of some buyers' rows."""
    total = BuyerOwes(None, on_account=sum((row.on_account for row in rows), Decimal(0)))
    for key in KEYS:
        total.sums[key] = sum((row.sums[key] for row in rows), Decimal(0))
    return total


def _accounts(on):
    accounts = Payment.objects.filter(date__lte=on, buyer__isnull=False).order_by()
    owned = accounts.annotate(owner=who_counts("buyer")).values("owner")
    return owned.annotate(sum=Sum("amount")).exclude(sum=0).values_list("owner", "sum")
