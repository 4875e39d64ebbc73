"""What is kept beside the ledger for speed.

Each row here equals a replay of the ledger from nothing; `manage.py verify`
proves it. Only `inventory.operations` writes these tables.
"""

from django.db import models
from django.db.models import Q

from inventory.costing.categories import CATEGORIES
from inventory.models.ledger import CostEntry, Measurement, Movement
from inventory.models.lots import Lot
from inventory.models.plants import Place
from inventory.sizes import Size
from nursery.fields import MoneyField

COST_FIELDS = tuple(f"cost_{category}" for category in CATEGORIES)


class ByCategory(models.Model):
    """A cost in each category, side by side, so that one row is a whole cost."""

    class Meta:
        abstract = True

    @property
    def cost(self):
        return self.cost_in(CATEGORIES)

    def cost_in(self, counted):
        """Return the cost in some of the categories."""
        return sum(getattr(self, f"cost_{category}") for category in counted)


for _field in COST_FIELDS:
    ByCategory.add_to_class(_field, MoneyField(default=0))


class LotBalance(ByCategory):
    """What a lot holds now: plants, their cost, where they stand and how large they are.

    `last_on` is the latest date of any entry of the lot, undone ones included.
    """

    lot = models.OneToOneField(Lot, models.PROTECT, primary_key=True, related_name="balance")
    on_hand = models.IntegerField(default=0)
    place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="balances")
    measurement = models.ForeignKey(
        Measurement, models.PROTECT, null=True, blank=True, related_name="balances"
    )
    last_on = models.DateField(null=True)

    class Meta:
        indexes = [
            # A long history leaves many empty lots behind; lists of stock pass them over.
            models.Index(
                fields=["on_hand"],
                condition=Q(on_hand__gt=0),
                name="inventory_lotbalance_standing",
            )
        ]
        constraints = [
            models.CheckConstraint(
                name="inventory_lotbalance_on_hand_is_not_negative",
                condition=Q(on_hand__gte=0),
            )
        ]

    def __str__(self):
        return f"{self.lot_id}: {self.on_hand}"

    @property
    def size(self) -> Size | None:
        """The range of height or spread its plants have, where they were measured."""
        return self.measurement.size if self.measurement else None


class Carried(ByCategory):
    """The cost a movement carried, and what its receiving lot held just after.

    A movement in force has one; an undone movement has none.
    """

    movement = models.OneToOneField(
        Movement, models.PROTECT, primary_key=True, related_name="carried"
    )
    on_hand_after = models.IntegerField(default=0)

    class Meta:
        verbose_name_plural = "carried"

    def __str__(self):
        return f"{self.movement_id}: {self.cost}"


class UncarriedCost(models.Model):
    """A cost entry that found no plants in its lot to carry it: it is expensed."""

    entry = models.OneToOneField(
        CostEntry, models.PROTECT, primary_key=True, related_name="uncarried"
    )

    def __str__(self):
        return f"entry {self.entry_id}"
