"""Plants promised to a buyer: kept where they are ready, ordered ahead where they still grow."""

from django.conf import settings
from django.db import models
from django.db.models import F, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Coalesce
from django.urls import reverse

from inventory.models import Container, Lot, Movement, Plant
from inventory.models.ledger import LedgerRow
from nursery.fields import MoneyField
from sales.models.buyers import Buyer
from sales.models.payments import Payment
from sales.models.requests import PlantRequest


class Hold(models.Model):
    """Plants promised to one buyer until the end of a day.

    That day frees them by itself: nothing is written when it passes. `until` and the
    numbers of the lines change only through a `HoldChange`, which can be undone. `asked` is
    the request of the web list that it answers, where one did.
    """

    buyer = models.ForeignKey(Buyer, models.PROTECT, related_name="holds")
    made_on = models.DateField()
    until = models.DateField(db_index=True)
    note = models.TextField(blank=True)
    asked = models.ForeignKey(
        PlantRequest, models.PROTECT, null=True, blank=True, related_name="holds"
    )

    class Meta:
        ordering = ["until", "pk"]
        constraints = [
            models.CheckConstraint(
                name="sales_hold_ends_no_earlier_than_it_begins",
                condition=Q(until__gte=F("made_on")),
                violation_error_message="Plants are kept until the day of the hold or later.",
            )
        ]

    def __str__(self):
        return f"Hold {self.pk}"

    def get_absolute_url(self) -> str:
        return reverse("sales:hold", args=[self.pk])

    @property
    def party(self) -> str:
        return self.buyer.name


class HoldLineQuerySet(models.QuerySet):
    """Lines of holds, with the questions asked of them everywhere."""

    def with_taken(self, on=None):
        """Tell of each what was handed over, by the end of that day: `taken`, and so `open`."""
        rows = HandedOver.objects.filter(line=OuterRef("pk"), movement__carried__isnull=False)
        if on is not None:
            rows = rows.filter(movement__date__lte=on)
        sums = rows.order_by().values("line").annotate(n=Sum("movement__quantity"))
        taken = Coalesce(Subquery(sums.values("n"), output_field=models.IntegerField()), 0)
        return self.annotate(taken=taken).order_by("pk")

    def promised(self, on):
        """Return the lines that are in force on that day with plants still to hand over."""
        rows = self.filter(hold__made_on__lte=on, hold__until__gte=on, quantity__gt=0)
        return rows.with_taken(on).filter(quantity__gt=F("taken"))


class HoldLine(models.Model):
    """A number of plants of one kind in a hold; `quantity` counts those handed over too.

    Without `lot` they come from any lot of that plant and container, of that grade where
    one is said. `ahead` plants were promised while they grew: what is growing serves them
    first, and ready plants only where growing ones will not do.
    """

    hold = models.ForeignKey(Hold, models.PROTECT, related_name="lines")
    plant = models.ForeignKey(Plant, models.PROTECT, related_name="hold_lines")
    container = models.ForeignKey(Container, models.PROTECT, related_name="hold_lines")
    grade = models.CharField(max_length=24, blank=True)
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="hold_lines")
    quantity = models.IntegerField()
    unit_price = MoneyField(null=True, blank=True)
    ahead = models.BooleanField(default=False)

    objects = HoldLineQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="sales_holdline_quantity_is_not_negative", condition=Q(quantity__gte=0)
            ),
            models.CheckConstraint(
                name="sales_holdline_price_is_not_negative",
                condition=Q(unit_price__isnull=True) | Q(unit_price__gte=0),
            ),
        ]

    def __str__(self):
        return f"{self.quantity} {self.plant} {self.container}"

    @property
    def open(self) -> int:
        """Plants still to be handed over. Needs `with_taken`."""
        return self.quantity - self.taken

    @property
    def keeper(self) -> Hold:
        """What keeps the plants, as `sales.queries.put_out.PutOut` has it too."""
        return self.hold

    @property
    def until(self):
        return self.hold.until


class HoldChange(LedgerRow):
    """One time a hold was made, lengthened, shortened, let go, or put back as it was."""

    hold = models.ForeignKey(Hold, models.PROTECT, related_name="changes")
    request_id = models.UUIDField(unique=True)
    until_before = models.DateField()
    until_after = models.DateField()
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="sales_holdchange_reverses_another",
                condition=Q(reverses__isnull=True) | ~Q(reverses=F("id")),
            )
        ]

    def __str__(self):
        return f"{self.hold}, change {self.pk}"


class HoldNumber(LedgerRow):
    """The number of plants of a line before and after a change."""

    change = models.ForeignKey(HoldChange, models.PROTECT, related_name="numbers")
    line = models.ForeignKey(HoldLine, models.PROTECT, related_name="numbers")
    before = models.PositiveIntegerField()
    after = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="sales_holdnumber_changes_something", condition=~Q(before=F("after"))
            )
        ]

    def __str__(self):
        return f"{self.before} to {self.after}"


class HandedOver(LedgerRow):
    """The plants of a hold that one movement of a sale handed to the buyer.

    Where the sale is undone its movement is no longer in force, and the hold has them again.
    """

    line = models.ForeignKey(HoldLine, models.PROTECT, related_name="handed_over")
    movement = models.OneToOneField(Movement, models.PROTECT, related_name="handed_over")

    def __str__(self):
        return f"{self.line_id}: movement {self.movement_id}"


class HoldDeposit(LedgerRow):
    """Money on the buyer's account that was paid ahead for one hold, or paid back of it.

    Where the payment is undone it is no longer in force.
    """

    hold = models.ForeignKey(Hold, models.PROTECT, related_name="deposits")
    payment = models.OneToOneField(Payment, models.PROTECT, related_name="hold_deposit")

    def __str__(self):
        return f"{self.hold}: {self.payment}"
