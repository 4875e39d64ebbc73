"""The nursery itself."""

from uuid import uuid4

from django.db import models
from django.db.models import Q

from inventory.models.letterhead import Letterhead, Paper
from inventory.models.yearly import no_day_or_one
from nursery.cash import usual_step
from nursery.columns import columns_of
from nursery.fields import MoneyField


class Nursery(Letterhead):
    """The business this ledger belongs to. There is one row.

    `cash_step` is the smallest amount paid in cash; empty as is usual for the currency.
    `counted_for_price` says which plants make up the number of a price "from 10". Of
    `calendar_id` the names of what stands in its calendars are made, which no other's have.
    The frosts are the days of the year about which the last and the first one usually come.
    """

    class Units(models.TextChoices):
        METRIC = "metric", "metres, litres, grams"
        US = "us", "feet, gallons, ounces"

    class Counted(models.TextChoices):
        LINE = "line", "each plant by itself"
        SALE = "sale", "all plants of that container in the sale"

    name = models.CharField(max_length=80)
    currency = models.CharField(max_length=3, default="USD")
    units = models.CharField(max_length=6, choices=Units, default=Units.US)
    cash_step = MoneyField(null=True, blank=True)
    counted_for_price = models.CharField(max_length=4, choices=Counted, default=Counted.LINE)
    season_start_month = models.PositiveSmallIntegerField(default=4)
    season_end_month = models.PositiveSmallIntegerField(default=9)
    last_frost_month = models.PositiveSmallIntegerField(null=True, blank=True)
    last_frost_day = models.PositiveSmallIntegerField(null=True, blank=True)
    first_frost_month = models.PositiveSmallIntegerField(null=True, blank=True)
    first_frost_day = models.PositiveSmallIntegerField(null=True, blank=True)
    counts_own_time = models.BooleanField(
        default=True, help_text="Whether what plants cost is shown with the grower's own time."
    )
    shows_first_season = models.BooleanField(
        default=True, help_text="Whether Today leads through the steps of a first year."
    )
    asks_second_step = models.BooleanField(
        default=False, help_text="Whether everybody needs a second step to log in."
    )
    demo = models.BooleanField(default=False, editable=False)
    calendar_id = models.UUIDField(default=uuid4, editable=False)

    class Meta:
        verbose_name_plural = "nurseries"
        constraints = [
            *Letterhead.Meta.constraints,
            models.CheckConstraint(name="inventory_nursery_is_one_row", condition=Q(pk=1)),
            models.CheckConstraint(
                name="inventory_nursery_season_months_exist",
                condition=Q(season_start_month__range=(1, 12)) & Q(season_end_month__range=(1, 12)),
            ),
            *(
                models.CheckConstraint(
                    name=f"inventory_nursery_{frost}_is_a_day",
                    condition=no_day_or_one(frost),
                )
                for frost in ("last_frost", "first_frost")
            ),
            models.CheckConstraint(
                name="inventory_nursery_cash_step_is_not_negative",
                condition=Q(cash_step=None) | Q(cash_step__gte=0),
            ),
            models.CheckConstraint(
                name="inventory_nursery_counted_for_price_is_known",
                condition=Q(counted_for_price__in=["line", "sale"]),
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def paper_in_use(self) -> str:
        """The paper chosen, else the one that goes with the units."""
        return self.paper or (Paper.LETTER if self.units == self.Units.US else Paper.A4)

    def save(self, *args, **kwargs):
        self.pk = 1
        super().save(*args, **kwargs)

    @property
    def smallest_cash(self):
        """The smallest amount that cash can pay, where cash totals are rounded; else nothing."""
        return usual_step(self.currency) if self.cash_step is None else self.cash_step

    @classmethod
    def current(cls) -> "Nursery":
        """Return the nursery, or an unsaved one with the defaults before set-up."""
        # Asked for every page and every sale: written out, it costs half of what `first` does.
        kept = cls.objects.raw(f"SELECT {columns_of(cls)} FROM inventory_nursery")
        return next(iter(kept), None) or cls(name="")
