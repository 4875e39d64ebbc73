"""What is grown, in what, where, and from which parents."""

from datetime import date

from django.db import models
from django.db.models import Q

from inventory.habits import Habit, guessed_habit
from inventory.names import clean_name, search_key
from nursery.fields import MoneyField


class Plant(models.Model):
    """A kind of plant, named by the cultivated-plant code.

    `propagation_right` holds through the day `patent_expires`; with no day it does not end.
    `royalty` is what one propagated plant costs under the `licence`.
    """

    class SizedBy(models.TextChoices):
        HEIGHT = "height", "height"
        SPREAD = "spread", "spread, from side to side"

    name = models.CharField(max_length=120, unique=True)
    search_key = models.CharField(max_length=160, unique=True, editable=False)
    common_name = models.CharField(max_length=80, blank=True)
    poisonous = models.CharField(
        max_length=200,
        blank=True,
        help_text="A caution for buyers and staff, printed on documents. Ask a poison "
        "centre or extension office where unsure.",
    )
    regulated = models.CharField(
        max_length=200,
        blank=True,
        help_text="Quarantine, invasive or protected: what the plant-health office asks. "
        "Rules differ by place: check with it.",
    )
    propagation_right = models.CharField(
        max_length=120,
        blank=True,
        help_text="Patent or breeder's right and the licence held. Propagating a "
        "protected plant needs its owner's leave.",
    )
    right_filed_on = models.DateField(null=True, blank=True)
    patent_expires = models.DateField(null=True, blank=True)
    licence = models.CharField(max_length=120, blank=True)
    royalty = MoneyField(null=True, blank=True)
    habit = models.CharField(
        max_length=10,
        choices=Habit,
        blank=True,
        help_text="The drawing beside its name at the stand, where it has no picture.",
    )
    sized_by = models.CharField(
        max_length=6,
        choices=SizedBy,
        default=SizedBy.HEIGHT,
        help_text="Creeping and low, spreading conifers are sold by spread, "
        "upright ones by height.",
    )
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["search_key"]
        constraints = [
            models.CheckConstraint(
                name="inventory_plant_habit_is_known",
                condition=Q(habit__in=["", *Habit.values]),
            ),
            models.CheckConstraint(
                name="inventory_plant_is_sized_by_height_or_spread",
                condition=Q(sized_by__in=["height", "spread"]),
            ),
            models.CheckConstraint(
                name="inventory_plant_royalty_is_not_negative",
                condition=Q(royalty__isnull=True) | Q(royalty__gte=0),
            ),
            models.CheckConstraint(
                name="inventory_plant_right_ends_after_it_was_filed",
                condition=Q(right_filed_on__isnull=True)
                | Q(patent_expires__isnull=True)
                | Q(patent_expires__gt=models.F("right_filed_on")),
                violation_error_message="A right ends after it was filed.",
            ),
        ]

    def __str__(self):
        return self.name

    def save(self, *args, **kwargs):
        self.name = clean_name(self.name)
        self.search_key = search_key(self.name)
        super().save(*args, **kwargs)

    def right_on(self, on: date) -> str:
        """Return the right that keeps others from propagating it on a day; its last counts."""
        is_over = self.patent_expires is not None and self.patent_expires < on
        return "" if is_over else self.propagation_right

    @property
    def drawing(self) -> str:
        """The name of its drawing: its habit, else the one its genus mostly has."""
        return self.habit or guessed_habit(self.name)


class Container(models.Model):
    """A container size. Its class is a label with a volume range, never gallons."""

    class Kind(models.TextChoices):
        PROPAGATION = "propagation", "for propagation"
        SALE = "sale", "for sale"

    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=12, choices=Kind)
    ansi_class = models.CharField(max_length=8, blank=True)
    cubic_inches_min = models.DecimalField(max_digits=8, decimal_places=1, null=True, blank=True)
    cubic_inches_max = models.DecimalField(max_digits=8, decimal_places=1, null=True, blank=True)
    edition = models.CharField(max_length=60, blank=True)
    source = models.CharField(max_length=120, blank=True)
    footprint_cm = models.PositiveSmallIntegerField(null=True, blank=True)
    spacing_cm = models.PositiveSmallIntegerField(
        "spacing, centre to centre, in cm", null=True, blank=True
    )
    spacing_pattern = models.CharField(
        max_length=8,
        choices=[("square", "square"), ("diagonal", "on the diagonal")],
        default="square",
    )
    in_use = models.BooleanField(default=True)
    position = models.PositiveSmallIntegerField(default=100)

    class Meta:
        ordering = ["position", "code"]
        constraints = [
            models.CheckConstraint(
                name="inventory_container_kind_is_known",
                condition=Q(kind__in=["propagation", "sale"]),
            ),
            models.CheckConstraint(
                name="inventory_container_range_is_ordered",
                condition=Q(cubic_inches_min__isnull=True)
                | Q(cubic_inches_max__gte=models.F("cubic_inches_min")),
            ),
            models.CheckConstraint(
                name="inventory_container_spacing_is_no_less_than_its_width",
                condition=Q(spacing_cm__isnull=True)
                | Q(footprint_cm__isnull=True)
                | Q(spacing_cm__gte=models.F("footprint_cm")),
                violation_error_message="Pots cannot stand closer than their own width.",
            ),
        ]

    def __str__(self):
        return self.code

    @property
    def for_sale(self) -> bool:
        return self.kind == self.Kind.SALE


class Place(models.Model):
    """A hoop house, bench, bed or stand."""

    name = models.CharField(max_length=60, unique=True)
    parent = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="parts")
    area_m2 = models.DecimalField(
        "area in m²", max_digits=8, decimal_places=2, null=True, blank=True
    )
    heated = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="inventory_place_area_is_positive",
                condition=Q(area_m2__isnull=True) | Q(area_m2__gt=0),
            )
        ]

    def __str__(self):
        return self.name


class StockPlant(models.Model):
    """A parent plant, or a row of them, that cuttings are taken from."""

    code = models.CharField(max_length=24, unique=True)
    plant = models.ForeignKey(Plant, models.PROTECT, related_name="stock_plants")
    place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["code"]

    def __str__(self):
        return f"{self.code}, {self.plant}"
