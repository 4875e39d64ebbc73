"""Periods that are closed: what stands in them changes no more."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models.ledger import LedgerRow


class Closing(LedgerRow):
    """A period closed, or opened again. The last row says what is closed now.

    `closed_to` is the last closed day, none where all is open. `snapshot` is the
    stock of that day as it was valued then.
    """

    class Kind(models.TextChoices):
        CLOSE = "close", "closed"
        REOPEN = "reopen", "opened again"

    kind = models.CharField(max_length=6, choices=Kind)
    closed_to = models.DateField(null=True, blank=True)
    reason = models.TextField(blank=True)
    snapshot = models.JSONField(default=list)
    request_id = models.UUIDField(unique=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="inventory_closing_of_a_period_has_its_last_day",
                condition=~Q(kind="close") | Q(closed_to__isnull=False),
            ),
            models.CheckConstraint(
                name="inventory_closing_reopened_gives_a_reason",
                condition=~Q(kind="reopen") | ~Q(reason=""),
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()} to {self.closed_to}"
