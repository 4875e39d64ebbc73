"""What a plant is sold for."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import In

from inventory.models import Container, Plant
from nursery.fields import MoneyField


class PriceList(models.TextChoices):
    """The lists a nursery keeps. What one of the others does not price, the stand list does."""

    STAND = "stand", "stand"
    LANDSCAPER = "landscaper", "landscaper"
    WHOLESALE = "wholesale", "wholesale"


class Price(models.Model):
    """What one plant in a container costs on a list from a day on, before tax.

    It holds for plants of `grade`, of every grade where blank, and for `least` plants or
    more. Without an amount it ends the price that stood there. A later row for the same
    day replaces an earlier one. All that one save of the sheet set bears its `request_id`.
    """

    list = models.CharField(max_length=10, choices=PriceList, default=PriceList.STAND)
    plant = models.ForeignKey(Plant, models.PROTECT, related_name="prices")
    container = models.ForeignKey(Container, models.PROTECT, related_name="prices")
    grade = models.CharField(max_length=24, blank=True)
    least = models.PositiveIntegerField(default=1)
    amount = MoneyField(null=True, blank=True)
    valid_from = models.DateField()
    request_id = models.UUIDField()

    class Meta:
        indexes = [
            models.Index(fields=["plant", "container", "valid_from"], name="sales_price_lookup")
        ]
        constraints = [
            models.CheckConstraint(name="sales_price_is_not_negative", condition=Q(amount__gte=0)),
            models.CheckConstraint(
                name="sales_price_is_on_a_known_list", condition=Q(list__in=PriceList.values)
            ),
            models.CheckConstraint(
                name="sales_price_is_from_one_plant_on", condition=Q(least__gte=1)
            ),
            models.UniqueConstraint(
                name="sales_price_is_set_once_by_a_request",
                fields=["request_id", "list", "plant", "container", "grade", "least"],
            ),
        ]

    def __str__(self):
        return f"{self.plant} {self.container}: {self.amount}"


class ArticleNumber(models.Model):
    """The GTIN of a plant in a container from a day on; a blank one ends it.

    The last row stands, as with prices.
    """

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="article_numbers")
    container = models.ForeignKey(Container, models.PROTECT, related_name="article_numbers")
    gtin = models.CharField(max_length=14, blank=True)
    valid_from = models.DateField()
    request_id = models.UUIDField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="sales_articlenumber_has_the_digits_of_a_gtin",
                condition=In(Length("gtin"), (0, 8, 12, 13, 14)),
            ),
            models.UniqueConstraint(
                name="sales_articlenumber_is_set_once_by_a_request",
                fields=["request_id", "plant", "container"],
            ),
        ]

    def __str__(self):
        return f"{self.plant} {self.container}: {self.gtin}"
