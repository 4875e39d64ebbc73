"""What stands on the nursery's paper."""

from django.db import models
from django.db.models import Q

from nursery.address import Addressed

LANGUAGES = [("en", "English"), ("de", "Deutsch"), ("fr", "français"), ("es", "español")]


class Paper(models.TextChoices):
    LETTER = "letter", "letter, 8½ × 11 in"
    A4 = "A4", "A4, 210 × 297 mm"


class Letterhead(Addressed):
    """The facts of a nursery that its documents print, and how they are numbered.

    A document keeps them as they were when it was issued. `logo` names a kept
    file; an empty `paper` goes by the nursery's units.
    """

    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    web = models.CharField(max_length=120, blank=True)
    tax_id = models.CharField(max_length=40, blank=True)
    licence_name = models.CharField(max_length=60, blank=True)
    licence_number = models.CharField(max_length=60, blank=True)
    inspection_certificate = models.CharField(max_length=60, blank=True)
    iban = models.CharField(max_length=34, blank=True)
    bic = models.CharField(max_length=11, blank=True)
    bank = models.TextField(blank=True)
    terms = models.TextField(blank=True)
    logo = models.CharField(max_length=80, blank=True)
    paper = models.CharField(max_length=6, choices=Paper, blank=True)
    language = models.CharField(max_length=2, choices=LANGUAGES, default="en")
    passport_country = models.CharField(max_length=2, blank=True)
    passport_registration = models.CharField(max_length=40, blank=True)
    receipt_prefix = models.CharField(max_length=7, blank=True)
    invoice_prefix = models.CharField(max_length=7, blank=True)
    credit_prefix = models.CharField(max_length=7, blank=True, default="C")

    class Meta:
        abstract = True
        constraints = [
            *Addressed.Meta.constraints,
            models.CheckConstraint(
                name="%(app_label)s_%(class)s_passport_names_its_country",
                condition=Q(passport_registration="", passport_country="")
                | ~Q(passport_registration="") & ~Q(passport_country=""),
                violation_error_message="A plant-passport registration has a number and a country.",
            ),
        ]
