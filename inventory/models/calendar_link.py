"""Links by which a person's phone reads the nursery's calendar."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import GreaterThanOrEqual


class CalendarLink(models.Model):
    """A link that gives the calendar without a login, as programs for calendars ask for it.

    `token` is 192 random bits, so it cannot be guessed, and says nothing of the person. One
    that was stopped is `is_withdrawn`: it leads nowhere, and is back by Undo.
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="calendar_links"
    )
    token = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    is_withdrawn = models.BooleanField(default=False)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                name="inventory_calendarlink_one_link_stands",
                fields=["person"],
                condition=Q(is_withdrawn=False),
            ),
            models.CheckConstraint(
                name="inventory_calendarlink_token_is_long",
                condition=GreaterThanOrEqual(Length("token"), 32),
            ),
        ]

    def __str__(self):
        return f"Calendar of {self.person}, link {self.pk}"
