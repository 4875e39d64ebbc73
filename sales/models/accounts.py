"""How whoever keeps the books calls the accounts of the journal."""

from django.db import models
from django.db.models import Q


class AccountName(models.Model):
    """The code and name given to one account of the journal in place of its own."""

    key = models.CharField(max_length=24, unique=True)
    code = models.CharField(max_length=16)
    name = models.CharField(max_length=60)

    class Meta:
        ordering = ["code", "key"]
        constraints = [
            models.CheckConstraint(
                name="sales_accountname_has_code_and_name",
                condition=~Q(code="") & ~Q(name=""),
                violation_error_message="An account has a code and a name.",
            )
        ]

    def __str__(self):
        return f"{self.code} {self.name}"
