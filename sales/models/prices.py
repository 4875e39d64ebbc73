"""What a plant is sold for, and the tax on top."""

from django.db import models
from django.db.models import Q

from inventory.models import Container, Plant
from nursery.fields import MoneyField


class Price(models.Model):
    """The list price of a plant in a container from a day on, before tax.

    A later row for the same day replaces an earlier one.
    """

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="prices")
    container = models.ForeignKey(Container, models.PROTECT, related_name="prices")
    amount = MoneyField()
    valid_from = models.DateField()
    request_id = models.UUIDField(unique=True)

    class Meta:
        indexes = [
            models.Index(fields=["plant", "container", "valid_from"], name="sales_price_lookup")
        ]
        constraints = [
            models.CheckConstraint(name="sales_price_is_not_negative", condition=Q(amount__gte=0))
        ]

    def __str__(self):
        return f"{self.plant} {self.container}: {self.amount}"


class TaxRate(models.Model):
    """The sales tax in force from a day on: state and local added up in one percent."""

    class Basis(models.TextChoices):
        INVOICE = "invoice", "rounded once, on the invoice"
        ITEM = "item", "rounded on each item"

    name = models.CharField(max_length=60, default="Sales tax")
    basis = models.CharField(max_length=7, choices=Basis, default=Basis.INVOICE)
    percent = models.DecimalField(max_digits=7, decimal_places=4)
    valid_from = models.DateField(unique=True)

    class Meta:
        ordering = ["-valid_from"]
        constraints = [
            models.CheckConstraint(
                name="sales_taxrate_is_a_percentage",
                condition=Q(percent__range=(0, 100)),
            )
        ]

    def __str__(self):
        return f"{self.name} {self.percent.normalize():f} %"
