"""What lets a buyer buy without sales tax."""

from datetime import date

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Right
from django.db.models.lookups import In

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


class CertificateFile(models.Model):
    """A scan or a photo of a certificate, or of a page of it: the name of a kept file.

    One that was taken off is `is_withdrawn`: it is shown no more, and is back by Undo.
    """

    certificate = models.ForeignKey(Certificate, models.PROTECT, related_name="files")
    file = models.CharField(max_length=80)
    is_withdrawn = models.BooleanField(default=False)
    request_id = models.UUIDField(unique=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="sales_certificatefile_is_a_pdf_or_a_picture",
                condition=In(Right("file", 4), [".pdf", ".jpg", ".png"]),
            )
        ]

    def __str__(self):
        return f"{self.certificate.number.replace('/', '-')}.{self.ending}"

    @property
    def ending(self) -> str:
        """pdf, jpg or png."""
        return self.file.rpartition(".")[2]
