"""Money for a whole place and time, shared among the lots that were there."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from inventory.costing.categories import CATEGORIES
from inventory.models.ledger import LedgerRow, Operation
from inventory.models.plants import Place
from nursery.fields import MoneyField


class Bill(LedgerRow):
    """An amount for a span of days: electricity, film, water, rent, insurance.

    It is shared among the lots that stood in `place` (or anywhere) by `basis`. Its
    parts are the costs of its operations, and `unused_amount`, which no lot bears.
    """

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
    place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="bills")
    basis = models.CharField(max_length=7, choices=Basis, default=Basis.AREA)
    unused = models.CharField(max_length=7, choices=Unused, default=Unused.PLANTS)
    unused_amount = MoneyField(default=0)
    note = models.TextField(blank=True)
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)

    class Meta:
        ordering = ["-last_day", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="inventory_bill_category_is_known",
                condition=Q(category__in=list(CATEGORIES)),
            ),
            models.CheckConstraint(
                name="inventory_bill_days_are_in_order",
                condition=Q(last_day__gte=F("first_day")),
            ),
        ]

    def __str__(self):
        return f"{self.amount} {self.category}, {self.first_day} to {self.last_day}"


class BillShare(LedgerRow):
    """One of the operations that charge a bill's parts to lots, a day each."""

    bill = models.ForeignKey(Bill, models.PROTECT, related_name="shares")
    operation = models.OneToOneField(Operation, models.PROTECT, related_name="bill_share")

    def __str__(self):
        return f"{self.bill_id}: operation {self.operation_id}"
