"""What lets a buyer buy without sales tax."""

from datetime import date

from django.db import models
from django.db.models import F, Q

from sales.models.buyers import Buyer


class Certificate(models.Model):
    """A buyer's exemption certificate, good from one day to another or with no end.

    One that was taken off is `is_withdrawn`: it exempts nothing, and is back by Undo.
    """

    buyer = models.ForeignKey(Buyer, models.PROTECT, related_name="certificates")
    number = models.CharField(max_length=80)
    issuer = models.CharField(max_length=50, blank=True)
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True)
    is_withdrawn = models.BooleanField(default=False)
    request_id = models.UUIDField(unique=True)

    class Meta:
        ordering = ["-valid_from", "-pk"]
        constraints = [
            models.CheckConstraint(name="sales_certificate_has_a_number", condition=~Q(number="")),
            models.CheckConstraint(
                name="sales_certificate_ends_no_earlier_than_it_begins",
                condition=Q(valid_until__isnull=True) | Q(valid_until__gte=F("valid_from")),
                violation_error_message="A certificate ends on its first day or later.",
            ),
        ]

    def __str__(self):
        return f"{self.number}, {self.issuer}" if self.issuer else self.number

    @property
    def last_day(self) -> date:
        """The last day it is good for; without an end, the last there is."""
        return self.valid_until or date.max
