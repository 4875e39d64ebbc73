"""What the grower wants to have for sale, and by when."""

from django.db import models
from django.db.models import Q

from inventory.models.plants import Container, Plant


class Target(models.Model):
    """So many plants of one kind, ready to sell in one container by a day.

    How many to stick for it, and when, is worked out from the losses expected and from what
    grows already; nothing of that is kept here. `assurance` is in how many cases of a hundred
    it shall come true. A target taken off stays as a row, so that it can come back.
    """

    class Assurance(models.IntegerChoices):
        MOSTLY = 80, "four times in five"
        SURELY = 90, "nine times in ten"
        ALMOST_ALWAYS = 95, "nineteen times in twenty"

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="targets")
    container = models.ForeignKey(Container, models.PROTECT, related_name="targets")
    quantity = models.PositiveIntegerField()
    ready_by = models.DateField()
    assurance = models.PositiveSmallIntegerField(choices=Assurance, default=Assurance.SURELY)
    note = models.CharField(max_length=200, blank=True)
    is_removed = models.BooleanField(default=False, editable=False)
    request_id = models.UUIDField(unique=True, editable=False)

    class Meta:
        ordering = ["ready_by", "pk"]
        constraints = [
            models.CheckConstraint(
                name="inventory_target_wants_plants", condition=Q(quantity__range=(1, 9_999_999))
            ),
            models.CheckConstraint(
                name="inventory_target_assurance_is_known",
                condition=Q(assurance__in=[80, 90, 95]),
            ),
        ]

    def __str__(self):
        return f"{self.quantity} {self.plant} in {self.container}"
