"""Pictures of plants."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.lots import Lot
from inventory.models.plants import Plant
from nursery.pictures import SMALL


class Photo(models.Model):
    """A picture of a kind of plant, or of one lot of it, in two sizes.

    `large` and `small` name kept files without metadata; `width` and `height` are those of
    the larger one in pixels. One taken off is `is_removed`: seen nowhere, and back by Undo.
    """

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="photos")
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="photos")
    large = models.CharField(max_length=80, db_index=True)
    small = models.CharField(max_length=80, db_index=True)
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()
    added_at = models.DateTimeField(auto_now_add=True)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)
    is_removed = models.BooleanField(default=False)
    request_id = models.UUIDField(unique=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                name="inventory_photo_has_a_size", condition=Q(width__gt=0, height__gt=0)
            ),
            models.CheckConstraint(
                name="inventory_photo_has_both_files", condition=~Q(large="") & ~Q(small="")
            ),
        ]

    def __str__(self):
        return f"Photo {self.pk} of {self.plant}"

    @property
    def small_size(self) -> tuple[int, int]:
        """The width and height of the smaller picture, so that a page keeps its room."""
        scale = min(1, SMALL / max(self.width, self.height))
        return max(1, round(self.width * scale)), max(1, round(self.height * scale))
