"""The taxes in force, and what is taxed otherwise."""

from django.db import models
from django.db.models import Q

from inventory.models import Plant


class TaxKind(models.TextChoices):
    """How the law treats a plant: nearly all bear the standard rate."""

    STANDARD = "standard", "the standard rate"
    REDUCED = "reduced", "the reduced rate"
    ZERO = "zero", "no tax, zero rated"


class TaxRate(models.Model):
    """One jurisdiction's tax from a day on, until a later row of the same kind.

    The rates of all jurisdictions in force are added up (SSUTA section 324). The latest
    row in force says how tax is rounded, and whether prices include it.
    """

    class Basis(models.TextChoices):
        INVOICE = "invoice", "rounded once, on the invoice"
        ITEM = "item", "rounded on each item"

    jurisdiction = models.CharField(max_length=60, blank=True)
    kind = models.CharField(max_length=8, choices=TaxKind, default=TaxKind.STANDARD)
    name = models.CharField(max_length=60, default="Sales tax")
    percent = models.DecimalField(max_digits=7, decimal_places=4)
    basis = models.CharField(max_length=7, choices=Basis, default=Basis.INVOICE)
    included = models.BooleanField("prices include it", default=False)
    valid_from = models.DateField()

    class Meta:
        ordering = ["-valid_from", "jurisdiction", "kind"]
        constraints = [
            models.UniqueConstraint(
                name="sales_taxrate_is_one_a_day", fields=["jurisdiction", "kind", "valid_from"]
            ),
            models.CheckConstraint(
                name="sales_taxrate_is_a_percentage",
                condition=Q(percent__range=(0, 100)),
            ),
            models.CheckConstraint(
                name="sales_taxrate_is_of_a_kind_with_a_rate",
                condition=Q(kind__in=(TaxKind.STANDARD, TaxKind.REDUCED)),
            ),
        ]

    def __str__(self):
        return f"{self.name} {self.percent.normalize():f} %"


class PlantTax(models.Model):
    """A plant that is not taxed at the standard rate."""

    plant = models.OneToOneField(Plant, models.PROTECT, related_name="taxed")
    kind = models.CharField(max_length=8, choices=TaxKind)

    class Meta:
        verbose_name_plural = "plant taxes"
        constraints = [
            models.CheckConstraint(
                name="sales_planttax_is_not_the_standard",
                condition=Q(kind__in=(TaxKind.REDUCED, TaxKind.ZERO)),
            )
        ]

    def __str__(self):
        return f"{self.plant}: {self.get_kind_display()}"
