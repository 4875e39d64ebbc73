"""What potting and sticking take: supplies, recipes, and people's time."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.costing.categories import OWN_TIME, PAID
from inventory.models.ledger import LedgerRow, Operation
from inventory.models.plants import Container, Plant
from nursery.fields import MoneyField, QuantityField

LABOUR = "labour"


class Supply(models.Model):
    """Something bought to be used up: pots, medium, feed, hormone, tags, film."""

    class Unit(models.TextChoices):
        PIECE = "piece", "pieces"
        LITRE = "litre", "litres"
        GRAM = "gram", "grams"
        METRE = "metre", "metres"

    name = models.CharField(max_length=80, unique=True)
    unit = models.CharField(max_length=6, choices=Unit, default=Unit.PIECE)
    category = models.CharField(max_length=10, default="containers")
    pack_size = QuantityField("units in one pack", null=True, blank=True)
    reorder_at = QuantityField("order again at", null=True, blank=True)
    settling_percent = models.DecimalField(
        "settles by percent",
        max_digits=5,
        decimal_places=2,
        default=0,
        help_text="How much of its loose volume a medium loses in the pot.",
    )
    note = models.TextField(blank=True)

    class Meta:
        verbose_name_plural = "supplies"
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="inventory_supply_category_is_known",
                condition=Q(category__in=list(PAID)),
            ),
            models.CheckConstraint(
                name="inventory_supply_settles_by_less_than_all",
                condition=Q(settling_percent__gte=0, settling_percent__lt=100),
            ),
            models.CheckConstraint(
                name="inventory_supply_pack_holds_something",
                condition=Q(pack_size__isnull=True) | Q(pack_size__gt=0),
            ),
        ]

    def __str__(self):
        return self.name


class SupplyEntry(LedgerRow):
    """A supply bought, used by an operation, or found by a count.

    `quantity` and `amount` are what comes in, negative where it goes out: what is
    on hand, and what it cost, is their sum. What a use costs is fixed when it is
    written, at the moving average of that moment.
    """

    class Kind(models.TextChoices):
        BOUGHT = "bought", "bought"
        USED = "used", "used"
        COUNTED = "counted", "counted"
        UNDONE = "undone", "undone"

    supply = models.ForeignKey(Supply, models.PROTECT, related_name="entries")
    date = models.DateField()
    kind = models.CharField(max_length=7, choices=Kind)
    quantity = QuantityField()
    amount = MoneyField()
    operation = models.ForeignKey(
        Operation, models.PROTECT, null=True, blank=True, related_name="supplies"
    )
    supplier = models.CharField(max_length=80, blank=True)
    note = models.TextField(blank=True)
    request_id = models.UUIDField(null=True, blank=True, unique=True)
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)

    class Meta:
        verbose_name_plural = "supply entries"
        indexes = [models.Index(fields=["supply", "date"], name="inventory_supply_by_date")]
        constraints = [
            models.CheckConstraint(
                name="inventory_supplyentry_bought_comes_in",
                condition=~Q(kind="bought") | Q(quantity__gt=0, amount__gte=0),
            ),
            models.CheckConstraint(
                name="inventory_supplyentry_undoing_names_what_it_undoes",
                condition=Q(kind="undone", reverses__isnull=False)
                | (~Q(kind="undone") & Q(reverses__isnull=True)),
            ),
        ]

    def __str__(self):
        return f"{self.quantity} {self.supply}"


class Recipe(models.Model):
    """What one plant takes when it is stuck or potted up: supplies and minutes.

    A recipe for one plant goes before the one for all plants in a container.
    """

    class Kind(models.TextChoices):
        STICK = "stick", "sticking"
        POT_UP = "pot_up", "potting up"

    kind = models.CharField(max_length=6, choices=Kind)
    container = models.ForeignKey(Container, models.PROTECT, related_name="recipes")
    plant = models.ForeignKey(Plant, models.PROTECT, null=True, blank=True, related_name="recipes")
    minutes = QuantityField("minutes for one plant", default=Decimal(0))

    class Meta:
        ordering = ["kind", "container", "plant"]
        constraints = [
            models.UniqueConstraint(
                name="inventory_recipe_once_per_plant", fields=["kind", "container", "plant"]
            ),
            models.UniqueConstraint(
                name="inventory_recipe_once_for_all_plants",
                fields=["kind", "container"],
                condition=Q(plant__isnull=True),
            ),
            models.CheckConstraint(
                name="inventory_recipe_minutes_are_not_negative", condition=Q(minutes__gte=0)
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()} into {self.container}"


class RecipeLine(models.Model):
    """How much of one supply one plant takes."""

    recipe = models.ForeignKey(Recipe, models.PROTECT, related_name="lines")
    supply = models.ForeignKey(Supply, models.PROTECT, related_name="recipe_lines")
    quantity = QuantityField("for one plant")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                name="inventory_recipeline_once_per_supply", fields=["recipe", "supply"]
            ),
            models.CheckConstraint(
                name="inventory_recipeline_takes_something", condition=Q(quantity__gt=0)
            ),
        ]

    def __str__(self):
        return f"{self.quantity} {self.supply}"


class Person(models.Model):
    """Someone who works at the nursery, with what an hour costs."""

    name = models.CharField(max_length=60, unique=True)
    hourly_rate = MoneyField()
    is_own = models.BooleanField(
        "own time", default=False, help_text="The grower's own time, not paid out."
    )

    class Meta:
        verbose_name_plural = "people"
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="inventory_person_rate_is_not_negative", condition=Q(hourly_rate__gte=0)
            )
        ]

    def __str__(self):
        return self.name

    @property
    def category(self) -> str:
        """The category in which this person's time is a cost of plants."""
        return OWN_TIME if self.is_own else LABOUR


class WorkEntry(LedgerRow):
    """Minutes a person worked on an operation, and what they cost then, in which category."""

    operation = models.ForeignKey(Operation, models.PROTECT, related_name="work")
    person = models.ForeignKey(Person, models.PROTECT, related_name="work")
    category = models.CharField(max_length=10, default=LABOUR)
    minutes = QuantityField()
    amount = MoneyField()

    class Meta:
        verbose_name_plural = "work entries"
        constraints = [
            models.CheckConstraint(
                name="inventory_workentry_category_is_of_time",
                condition=Q(category__in=[LABOUR, OWN_TIME]),
            )
        ]

    def __str__(self):
        return f"{self.minutes} minutes, {self.person}"
