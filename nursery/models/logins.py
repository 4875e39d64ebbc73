"""Who is logged in, and the codes that let somebody in without their phone."""

from uuid import uuid4

from django.conf import settings
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models
from django.db.models import Q
from django.utils import timezone


class Login(AbstractBaseSession):
    """A browser that the ledger knows, from a login until it ends: Django's session itself.

    Who deletes the row ends it, and the browser's next request finds nobody logged in. Without
    an account it is a visitor at the door. `number` stands in addresses, for the key is secret.
    """

    number = models.UUIDField(default=uuid4, unique=True, editable=False)
    account = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="logins"
    )
    begun = models.DateTimeField(default=timezone.now)
    # Written once in a while only; see nursery/people/sessions.py.
    seen = models.DateTimeField(default=timezone.now)
    device = models.CharField(max_length=60, blank=True)
    address = models.CharField(max_length=45, blank=True)

    class Meta:
        ordering = ["-seen"]

    def __str__(self):
        return self.device or "An unknown device"

    @classmethod
    def get_session_store_class(cls):
        from nursery.people.sessions import SessionStore

        return SessionStore


class RecoveryCode(models.Model):
    """One of the ten codes that each let an account in once, in place of the phone's code.

    `number` is the first digit of the code; of the whole only a hash is kept.
    """

    account = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="recovery_codes"
    )
    number = models.PositiveSmallIntegerField()
    hashed = models.CharField(max_length=128)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                name="nursery_recoverycode_is_one_of_its_number", fields=["account", "number"]
            ),
            models.CheckConstraint(
                name="nursery_recoverycode_number_is_a_digit", condition=Q(number__range=(0, 9))
            ),
        ]

    def __str__(self):
        return f"Recovery code {self.number}"
