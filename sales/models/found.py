"""Plants sold at the stand that the ledger did not have."""

from django.db import models

from inventory.models import Movement
from inventory.models.ledger import LedgerRow
from sales.models.documents import Document


class FoundAtSale(LedgerRow):
    """Plants that a sale made without signal took where the ledger had none left.

    `movement` found them in their lot, so that they could be sold: the lot wants counting.
    """

    movement = models.OneToOneField(Movement, models.PROTECT, related_name="found_at_sale")
    document = models.ForeignKey(Document, models.PROTECT, related_name="found")

    def __str__(self):
        return f"{self.document}: movement {self.movement_id}"
