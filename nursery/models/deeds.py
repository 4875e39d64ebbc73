"""The record of who did what."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from inventory.models.ledger import LedgerRow


class Deed(LedgerRow):
    """Something one person, stranger or command changed, or was refused, at one moment.

    It holds the ledger's own words only: nothing that was typed, no name but the account's,
    no address that opens by a secret in it.
    """

    class Kind(models.TextChoices):
        GROWING = "growing", "Growing"
        SELLING = "selling", "Selling"
        BUYERS = "buyers", "Buyers"
        BOOKS = "books", "Books and prices"
        SETTINGS = "settings", "Settings"
        DOORS = "doors", "Log-ins and accounts"
        FILES = "files", "Lists taken away as files"
        MACHINE = "machine", "Commands"

    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="deeds"
    )
    kind = models.CharField(max_length=8, choices=Kind)
    what = models.CharField(max_length=80)
    # Its page's path within the ledger, or nothing where no page shows it.
    about = models.CharField(max_length=200, blank=True)
    refused = models.BooleanField(default=False)
    reference = models.CharField(max_length=36, blank=True)
    # The name that the operating system knows who ran a command by; a browser's deed has none.
    machine_user = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [
            models.Index("at", "id", name="nursery_deed_by_moment"),
            models.Index("by", "at", "id", name="nursery_deed_by_person"),
            models.Index("kind", "at", "id", name="nursery_deed_by_kind"),
        ]
        constraints = [
            models.CheckConstraint(
                name="nursery_deed_kind_is_known",
                condition=Q(
                    kind__in=[
                        *("growing", "selling", "buyers", "books"),
                        *("settings", "doors", "files", "machine"),
                    ]
                ),
            ),
            models.CheckConstraint(name="nursery_deed_says_what", condition=~Q(what="")),
            models.CheckConstraint(
                name="nursery_deed_of_a_person_or_a_command",
                condition=Q(by=None) | Q(machine_user=""),
            ),
        ]

    def __str__(self):
        return f"{self.what}, refused" if self.refused else self.what
