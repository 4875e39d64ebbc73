"""The list of plants that anyone may see, and links to it at one buyer's prices."""

from uuid import uuid4

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import GreaterThanOrEqual

from sales.models.buyers import Buyer
from sales.models.prices import PriceList


class Numbers(models.TextChoices):
    """How far a buyer is told how many there are."""

    EXACT = "exact", "the exact number"
    CAPPED = "capped", "the number up to 10, else “10+”"
    YES = "yes", "only that there are some"


class PublicList(models.Model):
    """What the nursery shows to anyone on the web. There is one row; off unless `is_on`.

    `kept` holds the lines as they are shown, so that a visitor costs one question: as they
    stood at `kept_at`, when the ledger was at `mark`. They differ since `changed_at`. What a
    stranger asks for is forgotten `request_days` after it came to nothing.
    """

    is_on = models.BooleanField(default=False)
    greeting = models.TextField(blank=True)
    numbers = models.CharField(max_length=6, choices=Numbers, default=Numbers.CAPPED)
    on_list = models.CharField(max_length=10, choices=PriceList, blank=True)
    shows_later = models.BooleanField(default=True)
    shows_photos = models.BooleanField(default=True)
    call_name = models.CharField(max_length=80, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    takes_requests = models.BooleanField(default=False)
    request_days = models.PositiveSmallIntegerField(
        default=180,
        validators=[MinValueValidator(1), MaxValueValidator(3650)],
    )
    feed_id = models.UUIDField(default=uuid4, editable=False)
    kept = models.JSONField(default=list, editable=False)
    tax_included = models.BooleanField(default=False, editable=False)
    mark = models.CharField(max_length=120, blank=True, editable=False)
    kept_at = models.DateTimeField(null=True, blank=True, editable=False)
    changed_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(name="sales_publiclist_is_one_row", condition=Q(pk=1)),
            models.CheckConstraint(
                name="sales_publiclist_numbers_are_known",
                condition=Q(numbers__in=["exact", "capped", "yes"]),
            ),
            models.CheckConstraint(
                name="sales_publiclist_price_list_is_known",
                condition=Q(on_list="") | Q(on_list__in=PriceList.values),
            ),
            models.CheckConstraint(
                name="sales_publiclist_requests_have_an_age",
                condition=Q(request_days__gte=1, request_days__lte=3650),
            ),
        ]

    def __str__(self):
        return "The list on the web"

    def save(self, *args, **kwargs):
        self.pk = 1
        super().save(*args, **kwargs)


class ListNews(models.Model):
    """One change of the public list, as its feed tells it. Old ones are dropped."""

    key = models.UUIDField(default=uuid4, unique=True)
    at = models.DateTimeField()
    anchor = models.CharField(max_length=80)
    title = models.CharField(max_length=240)
    said = models.CharField(max_length=240)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(name="sales_listnews_says_something", condition=~Q(title="")),
        ]

    def __str__(self):
        return self.title


class BuyerLink(models.Model):
    """A link that shows one buyer the list at their prices, without a login, until a day.

    `token` is 192 random bits, so it cannot be guessed, and says nothing of the buyer. One
    that was stopped is `is_withdrawn`: it leads nowhere, and is back by Undo.
    """

    buyer = models.ForeignKey(Buyer, models.PROTECT, related_name="links")
    token = models.CharField(max_length=64, unique=True)
    made_on = models.DateField()
    last_on = models.DateField()
    is_withdrawn = models.BooleanField(default=False)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                name="sales_buyerlink_one_link_stands",
                fields=["buyer"],
                condition=Q(is_withdrawn=False),
            ),
            models.CheckConstraint(
                name="sales_buyerlink_token_is_long",
                condition=GreaterThanOrEqual(Length("token"), 32),
            ),
            models.CheckConstraint(
                name="sales_buyerlink_ends_no_earlier_than_it_begins",
                condition=Q(last_on__gte=models.F("made_on")),
            ),
        ]

    def __str__(self):
        return f"{self.buyer}, link {self.pk}"
