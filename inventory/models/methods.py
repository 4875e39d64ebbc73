"""How plants are raised: methods, their steps, what was done, and how the bench was watched."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from inventory.models.ledger import LedgerRow, Operation
from inventory.models.lots import Batch, HormoneForm, Wood
from inventory.models.plants import Place, Plant
from inventory.models.yearly import a_day

LANDMARKS = ("last_frost", "first_frost", "season_start", "season_end")


class Method(models.Model):
    """A way to raise plants of one kind, or all plants from one kind of cutting.

    It may be changed at any time; what was done by it stays as it was.
    """

    name = models.CharField(max_length=80, unique=True)
    wood = models.CharField(max_length=8, choices=Wood)
    plant = models.ForeignKey(Plant, models.PROTECT, null=True, blank=True, related_name="methods")
    source = models.CharField(max_length=200, blank=True)
    note = models.TextField(blank=True)
    is_removed = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="inventory_method_wood_is_known", condition=Q(wood__in=Wood.values)
            ),
            models.CheckConstraint(name="inventory_method_has_a_name", condition=~Q(name="")),
        ]

    def __str__(self):
        return self.name


class MethodStep(models.Model):
    """One thing to do by a method, and the days in which it is its time.

    The days are counted from the start of the batch, or from the step it comes `after`:
    `from_days` to `to_days` later where it is timed by days; else about the first frost,
    season's end or the like that comes next (days before it are negative), or between two
    days of the calendar. `position` names the step within its method and never changes.
    """

    class Work(models.TextChoices):
        STICK = "stick", "take and stick"
        HEAT_ON = "heat_on", "bottom heat on"
        HEAT_OFF = "heat_off", "bottom heat off"
        ROOT_COUNT = "root_count", "count what rooted"
        HARDEN = "harden", "harden off"
        FEED = "feed", "feed"
        COVER = "cover", "winter cover on"
        UNCOVER = "uncover", "winter cover off"
        POT_UP = "pot_up", "pull apart and pot up"
        TOP_DRESS = "top_dress", "top-dress"
        READY = "ready", "ready to sell"
        OTHER = "other", "something else"

    class Timing(models.TextChoices):
        DAYS = "days", "days or weeks after it"
        CALENDAR = "calendar", "between two days of the year"
        LAST_FROST = "last_frost", "about the last frost"
        FIRST_FROST = "first_frost", "about the first frost"
        SEASON_START = "season_start", "about the start of the growing season"
        SEASON_END = "season_end", "about the end of the growing season"

    method = models.ForeignKey(Method, models.PROTECT, related_name="steps")
    position = models.PositiveSmallIntegerField()
    work = models.CharField(max_length=10, choices=Work)
    name = models.CharField(max_length=80)
    after = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="followers"
    )
    timing = models.CharField(max_length=12, choices=Timing, default=Timing.DAYS)
    from_days = models.SmallIntegerField(default=0)
    to_days = models.SmallIntegerField(default=0)
    first_month = models.PositiveSmallIntegerField(null=True, blank=True)
    first_day = models.PositiveSmallIntegerField(null=True, blank=True)
    last_month = models.PositiveSmallIntegerField(null=True, blank=True)
    last_day = models.PositiveSmallIntegerField(null=True, blank=True)
    hormone_form = models.CharField(max_length=5, choices=HormoneForm, blank=True)
    hormone_ppm = models.PositiveIntegerField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    source = models.CharField(max_length=200, blank=True)
    is_removed = models.BooleanField(default=False)

    class Meta:
        ordering = ["method", "position"]
        constraints = [
            models.UniqueConstraint(
                name="inventory_methodstep_position_is_its_own", fields=["method", "position"]
            ),
            models.CheckConstraint(
                name="inventory_methodstep_days_are_in_order",
                condition=Q(from_days__lte=F("to_days")),
            ),
            models.CheckConstraint(
                name="inventory_methodstep_calendar_has_its_days",
                condition=(Q(timing="calendar") & a_day("first") & a_day("last"))
                | (
                    Q(timing__in=["days", *LANDMARKS])
                    & Q(first_month__isnull=True, first_day__isnull=True)
                    & Q(last_month__isnull=True, last_day__isnull=True)
                ),
            ),
            models.CheckConstraint(
                name="inventory_methodstep_follows_another",
                condition=Q(after__isnull=True) | ~Q(after=F("id")),
            ),
            models.CheckConstraint(
                name="inventory_methodstep_strength_is_possible",
                condition=Q(hormone_ppm__isnull=True) | Q(hormone_ppm__range=(1, 1_000_000)),
            ),
        ]

    def __str__(self):
        return self.name


class StepDone(LedgerRow):
    """A step of a method that was done for a batch, left out with a reason, or undone again.

    The rows of a batch and step are a chain, each following the one before; the last one
    holds. `what` is what the step was called on that day. A row whose operation was undone
    no longer holds either.
    """

    class Kind(models.TextChoices):
        DONE = "done", "done"
        SKIPPED = "skipped", "left out"
        UNDONE = "undone", "undone"

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="steps_done")
    step = models.ForeignKey(MethodStep, models.PROTECT, related_name="done")
    kind = models.CharField(max_length=7, choices=Kind)
    date = models.DateField()
    what = models.CharField(max_length=80)
    reason = models.CharField(max_length=200, blank=True)
    operation = models.ForeignKey(
        Operation, models.PROTECT, null=True, blank=True, related_name="steps_done"
    )
    follows = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="followed_by"
    )
    request_id = models.UUIDField(unique=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)

    class Meta:
        verbose_name_plural = "steps done"
        constraints = [
            models.UniqueConstraint(
                name="inventory_stepdone_is_one_chain",
                fields=["batch", "step"],
                condition=Q(follows__isnull=True),
            ),
            models.CheckConstraint(
                name="inventory_stepdone_undoing_follows_what_it_undoes",
                condition=~Q(kind="undone") | Q(follows__isnull=False),
            ),
            models.CheckConstraint(
                name="inventory_stepdone_left_out_says_why",
                condition=~Q(kind="skipped") | ~Q(reason=""),
            ),
        ]

    def __str__(self):
        return f"{self.what}, {self.get_kind_display()} {self.date}"

    @property
    def holds(self) -> bool:
        """Whether the last row of its chain says that nothing is left to do."""
        is_taken_back = self.operation is not None and self.operation.is_undone
        return self.kind != self.Kind.UNDONE and not is_taken_back


class BenchNote(models.Model):
    """What somebody saw on a heated bench: how moist the medium was, how warm."""

    class Moisture(models.TextChoices):
        DRY = "dry", "dry"
        RIGHT = "right", "right"
        WET = "wet", "wet"

    place = models.ForeignKey(Place, models.PROTECT, related_name="bench_notes")
    date = models.DateField()
    moisture = models.CharField(max_length=5, choices=Moisture, blank=True)
    temperature_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    request_id = models.UUIDField(unique=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True)
    is_removed = models.BooleanField(default=False)

    class Meta:
        ordering = ["-date", "-pk"]
        indexes = [models.Index(fields=["place", "-date"], name="inventory_benchnote_by_place")]
        constraints = [
            models.CheckConstraint(
                name="inventory_benchnote_says_something",
                condition=~Q(moisture="") | Q(temperature_c__isnull=False),
            ),
            models.CheckConstraint(
                name="inventory_benchnote_moisture_is_known",
                condition=Q(moisture__in=["", "dry", "right", "wet"]),
            ),
        ]

    def __str__(self):
        return f"{self.place}, {self.date}: {self.moisture or self.temperature_c}"
