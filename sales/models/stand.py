"""Days at a stand: plants put out, a box for the money, and what was there in the end."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from inventory.models import Lot, Place
from inventory.models.ledger import LedgerRow
from nursery.fields import MoneyField
from sales.models.documents import Document
from sales.models.payments import Payment


class StandDayQuerySet(models.QuerySet):
    """Days at stands, with the questions asked of them everywhere."""

    def open(self):
        return self.filter(state=StandDay.State.OPEN)


class StandDay(models.Model):
    """The time between opening a stand and counting its box, mostly one day.

    With `attended` somebody is there and notes each sale; without, plants and a box stand
    there and what was sold is worked out from what is left. Plants put out stay in their
    lots. `state` changes only through a `StandStep`, which can be undone.
    """

    class State(models.TextChoices):
        OPEN = "open", "open"
        CLOSED = "closed", "closed"
        UNDONE = "undone", "undone"

    place = models.ForeignKey(Place, models.PROTECT, related_name="stand_days")
    date = models.DateField(db_index=True)
    attended = models.BooleanField(default=True)
    began_with = MoneyField()
    state = models.CharField(max_length=6, choices=State, default=State.OPEN)

    objects = StandDayQuerySet.as_manager()

    class Meta:
        ordering = ["-date", "-pk"]
        constraints = [
            models.UniqueConstraint(
                name="sales_standday_is_the_only_one_open_at_its_place",
                fields=["place"],
                condition=Q(state="open"),
                violation_error_message="A stand is open at this place already. Close it first.",
            ),
            models.CheckConstraint(
                name="sales_standday_begins_with_no_less_than_nothing",
                condition=Q(began_with__gte=0),
            ),
            models.CheckConstraint(
                name="sales_standday_state_is_known",
                condition=Q(state__in=("open", "closed", "undone")),
            ),
        ]

    def __str__(self):
        return f"{self.place}, {self.date.day} {self.date:%B %Y}"

    def get_absolute_url(self) -> str:
        return reverse("sales:stand-day", args=[self.pk])

    @property
    def party(self) -> str:
        """For whom plants put out are held: the stand, as it is spoken of."""
        name = self.place.name
        return name if "stand" in name.casefold() else f"the stand at {name}"

    @property
    def is_open(self) -> bool:
        return self.state == self.State.OPEN


class StandStepQuerySet(models.QuerySet):
    """Steps of stand days, with the questions asked of them everywhere."""

    def in_force(self):
        """Return the steps that were not undone, without the undoings."""
        return self.filter(reverses=None, reversed_by=None)


class StandStep(LedgerRow):
    """One thing done at a stand beside selling: opened, plants put out, money moved, closed."""

    class Kind(models.TextChoices):
        OPENED = "opened", "opened"
        PLANTS = "plants", "plants put out or brought back"
        MONEY = "money", "money taken out of the box or put in"
        CLOSED = "closed", "closed"

    day = models.ForeignKey(StandDay, models.PROTECT, related_name="steps")
    kind = models.CharField(max_length=6, choices=Kind)
    date = models.DateField()
    note = models.TextField(blank=True)
    request_id = models.UUIDField(unique=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )

    objects = StandStepQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="sales_standstep_kind_is_known",
                condition=Q(kind__in=("opened", "plants", "money", "closed")),
            ),
            models.CheckConstraint(
                name="sales_standstep_reverses_another",
                condition=Q(reverses__isnull=True) | ~Q(reverses=F("id")),
            ),
        ]

    def __str__(self):
        return f"{self.day}: {self.get_kind_display()}"


class StandPlants(LedgerRow):
    """Plants of one lot put out at a stand, or brought back where negative.

    They stay in their lot: it is where they belong and what they cost. While the day is
    open those not sold yet are held for the stand.
    """

    step = models.ForeignKey(StandStep, models.PROTECT, related_name="plants")
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="stand_plants")
    quantity = models.IntegerField()

    class Meta:
        verbose_name_plural = "stand plants"
        constraints = [
            models.UniqueConstraint(
                name="sales_standplants_name_a_lot_once", fields=["step", "lot"]
            ),
            models.CheckConstraint(
                name="sales_standplants_are_not_nothing", condition=~Q(quantity=0)
            ),
        ]

    def __str__(self):
        return f"{self.quantity} of {self.lot}"


class StandSale(LedgerRow):
    """A sale made at a stand, with the payment that went into its box or card reader.

    What is paid later for the same document does not pass through the box.
    """

    day = models.ForeignKey(StandDay, models.PROTECT, related_name="sales")
    document = models.OneToOneField(Document, models.PROTECT, related_name="stand_sale")
    payment = models.OneToOneField(
        Payment, models.PROTECT, null=True, blank=True, related_name="stand_sale"
    )

    def __str__(self):
        return f"{self.document} at {self.day}"


class StandCount(LedgerRow):
    """What was counted when a stand closed: the box, and the card reader's own total.

    `pieces` is how many there were of each coin and note, by its worth: {"0.25": 14}.
    """

    step = models.OneToOneField(StandStep, models.PROTECT, related_name="count")
    cash = MoneyField()
    pieces = models.JSONField(default=dict)
    card = MoneyField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="sales_standcount_is_not_negative",
                condition=Q(cash__gte=0) & (Q(card__isnull=True) | Q(card__gte=0)),
            )
        ]

    def __str__(self):
        return f"{self.step}: {self.cash}"


class BoxEntry(LedgerRow):
    """Money that joined a cash box beside sales, or left it where negative.

    Over and short are what a count found; NOT_PAID is what plants taken from an unattended
    stand were worth and the box did not hold. SAFE is cash still, only in another box, or
    noted elsewhere. `step` is empty for what a ledger file brought.
    """

    class Kind(models.TextChoices):
        OVER_SHORT = "over_short", "cash over or short"
        NOT_PAID = "not_paid", "plants taken and not paid for"
        BANK = "bank", "brought to the bank"
        PAID_OUT = "paid_out", "paid for something"
        SAFE = "safe", "to or from the house, or noted elsewhere"

    # What a person enters; the others a count finds.
    BY_HAND = (Kind.BANK, Kind.PAID_OUT, Kind.SAFE)

    step = models.ForeignKey(StandStep, models.PROTECT, null=True, related_name="money")
    date = models.DateField(db_index=True)
    kind = models.CharField(max_length=10, choices=Kind)
    amount = MoneyField()
    note = models.TextField(blank=True)
    request_id = models.UUIDField(unique=True)

    class Meta:
        verbose_name_plural = "box entries"
        ordering = ["date", "pk"]
        constraints = [
            models.CheckConstraint(
                name="sales_boxentry_kind_is_known",
                condition=Q(kind__in=("over_short", "not_paid", "bank", "paid_out", "safe")),
            ),
            models.CheckConstraint(name="sales_boxentry_is_not_nothing", condition=~Q(amount=0)),
            models.CheckConstraint(
                name="sales_boxentry_not_paid_is_missing",
                condition=~Q(kind="not_paid") | Q(amount__lt=0),
            ),
            models.CheckConstraint(
                name="sales_boxentry_paid_out_says_what_for",
                condition=~Q(kind="paid_out") | ~Q(note=""),
            ),
        ]

    def __str__(self):
        return f"{self.amount} {self.get_kind_display()}"
