"""Why plants are lost, and how many a stage is expected to lose."""

from django.db import models
from django.db.models import Q

from inventory.models.plants import Plant


class LossCause(models.Model):
    """A reason plants are lost, in the grower's words."""

    code = models.CharField(max_length=16, unique=True)
    name = models.CharField(max_length=60)
    position = models.PositiveSmallIntegerField(default=100)

    class Meta:
        ordering = ["position", "code"]

    def __str__(self):
        return self.name


class ExpectedLoss(models.Model):
    """The share of plants a stage is expected to lose: of one plant, or of all."""

    class Stage(models.TextChoices):
        ROOTING = "rooting", "rooting, until the rooted count"
        LINER = "liner", "rooted, still in the tray"
        GROWING = "growing", "in a container for sale"

    plant = models.ForeignKey(
        Plant, models.PROTECT, null=True, blank=True, related_name="expected_losses"
    )
    stage = models.CharField(max_length=8, choices=Stage)
    percent = models.DecimalField(max_digits=5, decimal_places=2)

    class Meta:
        verbose_name_plural = "expected losses"
        ordering = ["stage", "plant"]
        constraints = [
            models.UniqueConstraint(
                name="inventory_expectedloss_once_per_plant",
                fields=["plant", "stage"],
            ),
            models.UniqueConstraint(
                name="inventory_expectedloss_once_for_all",
                fields=["stage"],
                condition=Q(plant__isnull=True),
            ),
            models.CheckConstraint(
                name="inventory_expectedloss_is_a_percentage",
                condition=Q(percent__range=(0, 100)),
            ),
        ]

    def __str__(self):
        return f"{self.get_stage_display()}: {self.percent} %"
