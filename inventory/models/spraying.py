"""Pesticides that were used at a place, and how long it stays closed by their label."""

from datetime import datetime, timedelta

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.plants import Place

LONGEST_HOURS = 2000


class Spraying(models.Model):
    """One use of a pesticide at a place; it stays closed for the label's re-entry hours.

    It has what a record of a restricted product asks for: product and registration number,
    total amount, place and crop, when, who with what certificate (7 CFR 110.3(a)).
    """

    place = models.ForeignKey(Place, models.PROTECT, related_name="sprayings")
    ended_at = models.DateTimeField()
    reentry_hours = models.PositiveSmallIntegerField()
    product = models.CharField(max_length=80)
    registration = models.CharField(max_length=40, blank=True)
    amount = models.CharField(max_length=60, blank=True)
    crop = models.CharField(max_length=80, blank=True)
    applicator = models.CharField(max_length=80, blank=True)
    request_id = models.UUIDField(unique=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)
    is_removed = models.BooleanField(default=False)

    class Meta:
        ordering = ["-ended_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="inventory_spraying_names_its_product", condition=~Q(product="")
            ),
            models.CheckConstraint(
                name="inventory_spraying_reentry_is_possible",
                condition=Q(reentry_hours__range=(0, LONGEST_HOURS)),
            ),
        ]

    def __str__(self):
        return f"{self.product}, {self.place}"

    @property
    def closed_until(self) -> datetime:
        """When its re-entry time is over."""
        return self.ended_at + timedelta(hours=self.reentry_hours)
