"""Who buys."""

from django.db import models
from django.db.models import F, Q, Subquery
from django.db.models.functions import Coalesce

from inventory.models.letterhead import LANGUAGES
from nursery.address import Addressed
from sales.models.prices import PriceList


class BuyerQuerySet(models.QuerySet):
    """Buyers, of which some were written down twice."""

    def kept(self):
        """Return each buyer once: the one kept of those that are the same."""
        return self.filter(same_as=None)


def who_counts(path: str = "") -> Coalesce:
    """Return the key of the buyer who counts for the one at a path, as "document__buyer"."""
    return Coalesce(f"{path}__same_as", path) if path else Coalesce("same_as", "pk")


class Buyer(Addressed):
    """A person or firm that buys by name. A walk-in at the stand needs none.

    `price_list` is chosen for this buyer; blank is the usual one of its kind. One written
    down twice is `same_as` the one kept, whose facts count; what stands with either, such as
    invoices, money, holds, people and certificates, is theirs together. A trigger keeps this
    one level deep: the one kept is never itself the same as another.
    """

    class Kind(models.TextChoices):
        LANDSCAPER = "landscaper", "landscaper"
        GARDEN = "garden", "gardener"
        TRADE = "trade", "trade"
        OTHER = "other", "other"

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.LANDSCAPER)
    price_list = models.CharField(max_length=10, choices=PriceList, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    tax_id = models.CharField(max_length=40, blank=True)
    language = models.CharField(max_length=2, choices=LANGUAGES, blank=True)
    terms_days = models.PositiveSmallIntegerField(
        "days to pay", default=30, help_text="Days from the invoice until it is due."
    )
    discount_percent = models.DecimalField(
        "discount for paying early, percent", max_digits=5, decimal_places=2, default=0
    )
    discount_days = models.PositiveSmallIntegerField("days for the discount", default=0)
    tax_exempt = models.BooleanField(
        "buys without tax",
        default=False,
        help_text="Only with a certificate in date. Check with your tax authority.",
    )
    note = models.TextField(blank=True)
    same_as = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="doubles", editable=False
    )
    merge_request_id = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    # The day their name was erased; only what law keeps is theirs since.
    erased_on = models.DateField(null=True, blank=True, editable=False)

    objects = BuyerQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            *Addressed.Meta.constraints,
            models.CheckConstraint(
                name="sales_buyer_discount_is_a_percentage",
                condition=Q(discount_percent__gte=0, discount_percent__lt=100),
                violation_error_message="A discount is 0 or more, and less than 100 percent.",
            ),
            models.CheckConstraint(
                name="sales_buyer_price_list_is_known",
                condition=Q(price_list="") | Q(price_list__in=PriceList.values),
            ),
            models.CheckConstraint(
                name="sales_buyer_is_same_as_another",
                condition=Q(same_as__isnull=True) | ~Q(same_as=F("id")),
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def kept(self) -> "Buyer":
        """The buyer who counts: the one kept of those that are the same."""
        return self.same_as or self

    @property
    def entries(self) -> list["Buyer"]:
        """This buyer as often as written down: what belongs to any of them is theirs."""
        # Asked of the database, because a merge may have come since this row was read; and
        # read, because PostgreSQL plans badly what asks for them within another question.
        kept = Subquery(Buyer.objects.filter(pk=self.pk).values_list(who_counts()))
        return list(Buyer.objects.filter(Q(pk=kept) | Q(same_as=kept)))

    @property
    def list_in_use(self) -> str:
        """The price list chosen, else the usual one of the buyer's kind."""
        return self.price_list or USUAL_LIST.get(self.kind, PriceList.STAND)


class Contact(models.Model):
    """A person at a buyer's, with what they do there and how to reach them.

    One who left is `is_former`: out of the list, and back by Undo.
    """

    buyer = models.ForeignKey(Buyer, models.PROTECT, related_name="contacts")
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=60, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    is_former = models.BooleanField(default=False)
    request_id = models.UUIDField(unique=True)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.CheckConstraint(name="sales_contact_has_a_name", condition=~Q(name="")),
            models.CheckConstraint(
                name="sales_contact_can_be_reached", condition=~Q(email="", phone="")
            ),
        ]

    def __str__(self):
        return self.name


USUAL_LIST = {
    Buyer.Kind.LANDSCAPER: PriceList.LANDSCAPER,
    Buyer.Kind.TRADE: PriceList.WHOLESALE,
}
