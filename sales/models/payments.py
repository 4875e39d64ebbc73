"""Money that settles documents, or lies on a buyer's account until it is used."""

from django.db import models
from django.db.models import F, Q

from inventory.models.ledger import LedgerRow
from nursery.fields import MoneyField
from sales.models.buyers import Buyer
from sales.models.documents import Document


class PaymentQuerySet(models.QuerySet):
    """Payments, with the question asked of them everywhere."""

    def in_force(self):
        """Return those that were not undone and undo nothing.

        “Reverses none” is true of nearly all payments there are, but a unique column looks to
        SQLite like the way to few: said as what is left out, a question begins with its own.
        """
        return self.exclude(reverses__isnull=False).filter(reversed_by__reverses=None)


class Payment(LedgerRow):
    """An amount that settles part of a document, or joins a buyer's account.

    Negative where it is paid back or taken off. What is entered together, such as one
    amount over several invoices, is `part_of` its first row and undone with it. Money
    used from an account is a pair of rows: minus on the account, plus on the document.
    """

    class Method(models.TextChoices):
        CASH = "cash", "cash"
        CARD = "card", "card"
        CHEQUE = "cheque", "cheque"
        TRANSFER = "transfer", "bank transfer"
        ACCOUNT = "account", "money on account"
        ROUNDING = "rounding", "rounding of cash"
        DISCOUNT = "discount", "discount for paying early"
        ALLOWANCE = "allowance", "letting it go"

    # The ways in which money itself comes and goes; the others only settle.
    MONEY = (Method.CASH, Method.CARD, Method.CHEQUE, Method.TRANSFER)

    document = models.ForeignKey(
        Document, models.PROTECT, null=True, blank=True, related_name="payments"
    )
    buyer = models.ForeignKey(Buyer, models.PROTECT, null=True, blank=True, related_name="account")
    date = models.DateField()
    method = models.CharField(max_length=10, choices=Method)
    amount = MoneyField()
    note = models.TextField(blank=True)
    request_id = models.UUIDField(unique=True)
    part_of = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="parts")
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )

    objects = PaymentQuerySet.as_manager()

    class Meta:
        ordering = ["date", "pk"]
        indexes = [
            # Of documents only: what asks for accounts is to begin with their few rows.
            models.Index(
                fields=["date"], condition=Q(document__isnull=False), name="sales_payment_of_sales"
            )
        ]
        constraints = [
            models.CheckConstraint(name="sales_payment_is_not_nothing", condition=~Q(amount=0)),
            models.CheckConstraint(
                name="sales_payment_stands_in_one_place",
                condition=Q(document__isnull=False, buyer=None)
                | Q(document=None, buyer__isnull=False),
            ),
            models.CheckConstraint(
                name="sales_payment_method_is_known",
                condition=Q(
                    method__in=("cash", "card", "cheque", "transfer", "account", "rounding")
                )
                | Q(method__in=("discount", "allowance"), document__isnull=False),
            ),
            models.CheckConstraint(
                name="sales_payment_let_go_says_why",
                condition=~Q(method="allowance") | ~Q(note=""),
            ),
            models.CheckConstraint(
                name="sales_payment_reversal_is_of_another",
                condition=Q(reverses__isnull=True) | ~Q(reverses=F("id")),
            ),
            models.CheckConstraint(
                name="sales_payment_part_is_of_another",
                condition=Q(part_of__isnull=True) | ~Q(part_of=F("id")),
            ),
        ]

    def __str__(self):
        return f"{self.amount} {self.get_method_display()}"

    @property
    def head(self) -> "Payment":
        """The first row of what was entered together."""
        return self.part_of or self
