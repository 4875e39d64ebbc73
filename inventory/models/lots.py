"""Where plants begin, and the groups they are counted in."""

from django.db import models
from django.db.models import Q

from inventory.models.plants import Container, Plant, StockPlant


class Wood(models.TextChoices):
    """What plants are begun from: the kind of cutting, or what else."""

    SOFTWOOD = "softwood", "softwood cuttings"
    SEMI = "semi", "semi-hardwood cuttings"
    HARDWOOD = "hardwood", "hardwood cuttings"
    SEED = "seed", "seed"
    DIVISION = "division", "division"


class HormoneForm(models.TextChoices):
    """How a rooting hormone is put on."""

    DIP = "dip", "quick dip"
    SOAK = "soak", "long soak"
    TALC = "talc", "powder"
    GEL = "gel", "gel"
    SPRAY = "spray", "spray on the leaves"


class Batch(models.Model):
    """A beginning: cuttings stuck, seed sown, a division, liners, or opening stock.

    `treatment` says in words what the fields from `wood` to `bottom_heat_c` say each by
    itself, where they are said. `method` is how it is raised; its steps become due by it.
    """

    class Kind(models.TextChoices):
        STICK = "stick", "cuttings stuck"
        SOW = "sow", "seed sown"
        DIVIDE = "divide", "divided"
        RECEIVE = "receive", "liners bought in"
        OPENING = "opening", "opening stock"

    code = models.CharField(max_length=24, unique=True)
    plant = models.ForeignKey(Plant, models.PROTECT, related_name="batches")
    kind = models.CharField(max_length=8, choices=Kind)
    started_on = models.DateField()
    stock_plant = models.ForeignKey(
        StockPlant, models.PROTECT, null=True, blank=True, related_name="batches"
    )
    treatment = models.CharField(
        max_length=120,
        blank=True,
        help_text="Hormone and strength, wounding, medium. The product's label is the law.",
    )
    method = models.ForeignKey(
        "Method", models.PROTECT, null=True, blank=True, related_name="batches"
    )
    wood = models.CharField(max_length=8, choices=Wood, blank=True)
    hormone = models.CharField(max_length=60, blank=True)
    hormone_form = models.CharField(max_length=5, choices=HormoneForm, blank=True)
    hormone_ppm = models.PositiveIntegerField(null=True, blank=True)
    medium = models.CharField(max_length=60, blank=True)
    bottom_heat_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    taken_by = models.ForeignKey(
        "Person", models.PROTECT, null=True, blank=True, related_name="batches_taken"
    )
    note = models.TextField(blank=True)

    class Meta:
        verbose_name_plural = "batches"
        ordering = ["-started_on", "code"]
        constraints = [
            models.CheckConstraint(
                name="inventory_batch_wood_is_known", condition=Q(wood__in=["", *Wood.values])
            ),
            models.CheckConstraint(
                name="inventory_batch_hormone_form_is_known",
                condition=Q(hormone_form__in=["", *HormoneForm.values]),
            ),
            models.CheckConstraint(
                name="inventory_batch_strength_is_possible",
                condition=Q(hormone_ppm__isnull=True) | Q(hormone_ppm__range=(1, 1_000_000)),
            ),
            models.CheckConstraint(
                name="inventory_batch_heat_is_possible",
                condition=Q(bottom_heat_c__isnull=True) | Q(bottom_heat_c__range=(1, 60)),
            ),
            models.CheckConstraint(
                name="inventory_batch_kind_is_known",
                condition=Q(kind__in=["stick", "sow", "divide", "receive", "opening"]),
            ),
        ]

    def __str__(self):
        return self.code


class Lot(models.Model):
    """Plants that are alike and counted together: one plant, one container.

    The age class follows from `began_on` and `transplanted_on`. Its plants are ready to
    sell from `ready_on` on; empty is as soon as they stand in a container for sale. What
    the lot holds and where it stands is kept in its `LotBalance`.
    """

    code = models.CharField(max_length=24, unique=True)
    plant = models.ForeignKey(Plant, models.PROTECT, related_name="lots")
    container = models.ForeignKey(Container, models.PROTECT, related_name="lots")
    grade = models.CharField(max_length=24, blank=True)
    began_on = models.DateField()
    transplanted_on = models.DateField(null=True, blank=True)
    ready_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["code"]
        indexes = [models.Index(fields=["container", "plant"], name="inventory_lot_container")]
        constraints = [
            models.CheckConstraint(
                name="inventory_lot_is_transplanted_after_it_began",
                condition=Q(transplanted_on__isnull=True)
                | Q(transplanted_on__gte=models.F("began_on")),
            ),
            models.CheckConstraint(
                name="inventory_lot_is_ready_after_it_began",
                condition=Q(ready_on__isnull=True) | Q(ready_on__gte=models.F("began_on")),
                violation_error_message="Plants are ready no earlier than their lot began.",
            ),
        ]

    def __str__(self):
        return self.code
