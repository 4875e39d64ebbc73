"""Money for a whole place and time, shared among the lots that were there."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from inventory.costing.categories import CATEGORIES
from inventory.models.ledger import LedgerRow, Operation
from inventory.models.plants import Place
from nursery.fields import MoneyField


class SharedCost(LedgerRow):
    """An amount for a span of days and a place, or for everywhere, and how it is shared."""

    class Basis(models.TextChoices):
        AREA = "area", "by area and days"
        PLANTS = "plants", "by plants and days"
        MINUTES = "minutes", "by minutes of work"

    class Unused(models.TextChoices):
        PLANTS = "plants", "the plants bear it"
        EXPENSE = "expense", "it is expensed"

    request_id = models.UUIDField(unique=True)
    category = models.CharField(max_length=10)
    amount = MoneyField()
    first_day = models.DateField()
    last_day = models.DateField()
    place = models.ForeignKey(
        Place, models.PROTECT, null=True, blank=True, related_name="%(class)ss"
    )
    basis = models.CharField(max_length=7, choices=Basis, default=Basis.AREA)
    unused = models.CharField(max_length=7, choices=Unused, default=Unused.PLANTS)
    note = models.TextField(blank=True)
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)

    class Meta:
        abstract = True
        ordering = ["-last_day", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="%(app_label)s_%(class)s_category_is_known",
                condition=Q(category__in=list(CATEGORIES)),
            ),
            models.CheckConstraint(
                name="%(app_label)s_%(class)s_days_are_in_order",
                condition=Q(last_day__gte=F("first_day")),
            ),
        ]

    def __str__(self):
        return f"{self.amount} {self.category}, {self.first_day} to {self.last_day}"

    @property
    def days(self) -> int:
        return (self.last_day - self.first_day).days + 1

    @property
    def is_undone(self) -> bool:
        return hasattr(self, "reversed_by")


class PaidAhead(SharedCost):
    """A cost paid for days to come: film for its years, rent, insurance.

    It is charged to the plants part by part, each part a bill. What is not charged yet is
    no cost of any plant.
    """

    class Meta(SharedCost.Meta):
        verbose_name_plural = "paid ahead"
        constraints = [
            *SharedCost.Meta.constraints,
            models.CheckConstraint(
                name="inventory_paidahead_is_more_than_nothing",
                condition=Q(amount__gt=0) | Q(reverses__isnull=False),
            ),
        ]


class Bill(SharedCost):
    """An amount for a span of days: electricity, water, or a part of what was paid ahead.

    Its parts are the costs of its operations, and `unused_amount`, which no lot bears.
    """

    unused_amount = MoneyField(default=0)
    paid_ahead = models.ForeignKey(
        PaidAhead, models.PROTECT, null=True, blank=True, related_name="parts"
    )


class BillShare(LedgerRow):
    """One of the operations that charge a bill's parts to lots, a day each."""

    bill = models.ForeignKey(Bill, models.PROTECT, related_name="shares")
    operation = models.OneToOneField(Operation, models.PROTECT, related_name="bill_share")

    def __str__(self):
        return f"{self.bill_id}: operation {self.operation_id}"
