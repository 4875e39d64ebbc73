"""The ledger: facts that are written once. Database triggers refuse any change."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.costing.categories import CATEGORIES
from inventory.models.losses import LossCause
from inventory.models.lots import Batch, Lot
from inventory.models.plants import Place
from inventory.sizes import Size
from nursery.fields import MoneyField


class LedgerRow(models.Model):
    """A row that is never changed or deleted."""

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        if not self._state.adding:
            raise TypeError("A ledger row is never changed. Undo it with a reversal.")
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        raise TypeError("A ledger row is never deleted. Undo it with a reversal.")


class Operation(LedgerRow):
    """One thing that happened on a date. Those of one date stand in order of entry."""

    class Kind(models.TextChoices):
        STICK = "stick", "stuck"
        SOW = "sow", "sown"
        DIVIDE = "divide", "divided"
        RECEIVE = "receive", "received"
        OPENING = "opening", "opening stock"
        COST = "cost", "cost added"
        ROOT_COUNT = "root_count", "rooted count"
        LOSS = "loss", "written off"
        POT_UP = "pot_up", "potted up"
        COUNT = "count", "counted"
        MOVE = "move", "moved"
        BLEND = "blend", "blended"
        MEASURE = "measure", "measured"
        USE = "use", "used"
        GIVE = "give", "given away"
        SALE = "sale", "sold"
        RETURN = "return", "returned"
        UNDO = "undo", "undone"

    request_id = models.UUIDField(unique=True)
    kind = models.CharField(max_length=12, choices=Kind)
    date = models.DateField(db_index=True)
    note = models.TextField(blank=True)
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["kind", "date"], name="inventory_operation_kind")]
        constraints = [
            models.CheckConstraint(
                name="inventory_operation_undo_names_what_it_reverses",
                condition=Q(kind="undo", reverses__isnull=False)
                | (~Q(kind="undo") & Q(reverses__isnull=True)),
            )
        ]

    def __str__(self):
        return f"{self.get_kind_display()} {self.date}"

    @property
    def is_undone(self) -> bool:
        return hasattr(self, "reversed_by")


class Movement(LedgerRow):
    """Plants going from one lot to another, in from the world, or out to it.

    `of` names the movement this one gives back: a return gives back part of a
    sale, and a discarded return loses again exactly what came back. `date`
    repeats the operation's, so that a lot's history is one index range.
    """

    class Kind(models.TextChoices):
        BEGUN = "begun", "begun"
        FOUND = "found", "found by a count"
        MOVED = "moved", "moved to another lot"
        SOLD = "sold", "sold"
        RETURNED = "returned", "returned"
        LOST = "lost", "lost, as expected"
        LOST_ABNORMAL = "lost_abnormal", "lost beyond what is expected"
        USED = "used", "used"
        GIVEN = "given", "given away"

    operation = models.ForeignKey(Operation, models.PROTECT, related_name="movements")
    date = models.DateField()
    kind = models.CharField(max_length=13, choices=Kind)
    from_lot = models.ForeignKey(
        Lot,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="movements_out",
        db_index=False,
    )
    to_lot = models.ForeignKey(
        Lot,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="movements_in",
        db_index=False,
    )
    quantity = models.PositiveIntegerField()
    batch = models.ForeignKey(
        Batch, models.PROTECT, null=True, blank=True, related_name="movements"
    )
    cause = models.ForeignKey(
        LossCause, models.PROTECT, null=True, blank=True, related_name="movements"
    )
    of = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="given_back")

    class Meta:
        indexes = [
            models.Index(fields=["from_lot", "date"], name="inventory_movement_out"),
            models.Index(fields=["to_lot", "date"], name="inventory_movement_in"),
            models.Index(fields=["date", "operation", "id"], name="inventory_movement_order"),
        ]
        constraints = [
            models.CheckConstraint(
                name="inventory_movement_quantity_is_positive",
                condition=Q(quantity__gt=0),
            ),
            models.CheckConstraint(
                name="inventory_movement_between_lots_only_when_moved",
                condition=Q(kind="moved", from_lot__isnull=False, to_lot__isnull=False)
                | (
                    ~Q(kind="moved")
                    & (
                        Q(from_lot__isnull=True, to_lot__isnull=False)
                        | Q(from_lot__isnull=False, to_lot__isnull=True)
                    )
                ),
            ),
            models.CheckConstraint(
                name="inventory_movement_leaves_its_lot",
                condition=~Q(from_lot=models.F("to_lot")),
            ),
            models.CheckConstraint(
                name="inventory_movement_begun_names_its_batch",
                condition=Q(kind="begun", batch__isnull=False)
                | (~Q(kind="begun") & Q(batch__isnull=True)),
            ),
            models.CheckConstraint(
                name="inventory_movement_lost_names_its_cause",
                condition=Q(kind__in=["lost", "lost_abnormal"], cause__isnull=False)
                | (~Q(kind__in=["lost", "lost_abnormal"]) & Q(cause__isnull=True)),
            ),
            models.CheckConstraint(
                name="inventory_movement_returned_names_its_sale",
                condition=~Q(kind="returned") | Q(of__isnull=False),
            ),
        ]

    def __str__(self):
        return f"{self.quantity} {self.get_kind_display()}"


class CostEntry(LedgerRow):
    """Money joining a lot's cost in one category, or leaving it where negative."""

    operation = models.ForeignKey(Operation, models.PROTECT, related_name="costs")
    date = models.DateField()
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="cost_entries", db_index=False)
    category = models.CharField(max_length=10)
    amount = MoneyField()

    class Meta:
        verbose_name_plural = "cost entries"
        indexes = [
            models.Index(fields=["lot", "date"], name="inventory_costentry_lot"),
            # Whether the grower's own time was ever entered is asked on every page of a lot.
            models.Index(
                fields=["category"],
                condition=Q(category="own_time"),
                name="inventory_costentry_own_time",
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="inventory_costentry_category_is_known",
                condition=Q(category__in=list(CATEGORIES)),
            )
        ]

    def __str__(self):
        return f"{self.amount} {self.category}"


class Placement(LedgerRow):
    """A lot standing at a place from a date on."""

    operation = models.ForeignKey(Operation, models.PROTECT, related_name="placements")
    date = models.DateField()
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="placements")
    place = models.ForeignKey(Place, models.PROTECT, related_name="placements")

    def __str__(self):
        return f"{self.lot} at {self.place}"


class Count(LedgerRow):
    """A lot that was counted: how many plants were found, rooted or standing."""

    operation = models.ForeignKey(Operation, models.PROTECT, related_name="counts")
    date = models.DateField()
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="counts")
    found = models.PositiveIntegerField()

    def __str__(self):
        return f"{self.found} in {self.lot}"


class Measurement(LedgerRow):
    """The size that all plants of a lot have from a date on: a range of height or spread.

    A range means at least the lower figure and less than the upper. Both empty, the lot's
    plants have no size that holds for all of them any more. `measured_on` is the day somebody
    measured; it lies before `date` where plants brought their size along into another lot.
    """

    operation = models.ForeignKey(Operation, models.PROTECT, related_name="measurements")
    date = models.DateField()
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="measurements")
    lower_mm = models.PositiveIntegerField(null=True, blank=True)
    upper_mm = models.PositiveIntegerField(null=True, blank=True)
    measured_on = models.DateField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="inventory_measurement_is_a_range_or_none",
                condition=Q(lower_mm__isnull=True, upper_mm__isnull=True)
                | Q(
                    lower_mm__isnull=False,
                    upper_mm__isnull=False,
                    lower_mm__gt=0,
                    upper_mm__gt=models.F("lower_mm"),
                ),
            ),
            models.CheckConstraint(
                name="inventory_measurement_was_made_by_its_date",
                condition=Q(measured_on__lte=models.F("date")),
            ),
        ]

    def __str__(self):
        return f"{self.lot}: {self.lower_mm} to {self.upper_mm} mm"

    @property
    def size(self) -> Size | None:
        """The range, or None."""
        return None if self.lower_mm is None else Size(self.lower_mm, self.upper_mm)
