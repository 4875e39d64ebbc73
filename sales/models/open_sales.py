"""What is kept beside documents for speed: which sales are not settled yet."""

from django.db import models
from django.db.models import Q

from nursery.fields import MoneyField
from sales.models.buyers import Buyer
from sales.models.documents import Document


class OpenSale(models.Model):
    """A sale on which something is open now: to receive, or to pay back where negative.

    A long history leaves many settled sales behind; what asks for the open ones begins here.
    Each row equals what documents and payments say; `manage.py verify` proves it. Only
    `sales.operations.open_sales` writes it.
    """

    document = models.OneToOneField(
        Document, models.PROTECT, primary_key=True, related_name="open_sale"
    )
    # As on the document: what one buyer owes is asked without going through all they bought.
    buyer = models.ForeignKey(
        Buyer, models.PROTECT, null=True, blank=True, related_name="open_sales"
    )
    amount = MoneyField()

    class Meta:
        constraints = [
            models.CheckConstraint(name="sales_opensale_is_not_nothing", condition=~Q(amount=0))
        ]

    def __str__(self):
        return f"{self.document_id}: {self.amount}"
