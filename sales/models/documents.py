"""Invoices, receipts and credit notes. Once issued, none of their rows change."""

from django.db import models
from django.db.models import Q

from inventory.models import Container, Movement, Plant
from inventory.models.ledger import LedgerRow
from nursery.fields import MoneyField
from sales.models.buyers import Buyer


class DocumentQuerySet(models.QuerySet):
    """Documents, with the questions asked of them everywhere."""

    def with_standing(self):
        """Say of each whether it was cancelled: all its plants' movements undone.

        "Undone by none" is asked of the column that both tables are joined by: only so does
        PostgreSQL know how many are left, and looks at the few of a document.
        """
        in_force = Take.objects.filter(
            line__document=models.OuterRef("pk"), movement__operation__reversed_by__reverses=None
        )
        return self.annotate(cancelled=~models.Exists(in_force))

    def standing(self):
        """Return the documents that were not cancelled."""
        return self.with_standing().filter(cancelled=False)


class Document(LedgerRow):
    """A numbered sale, or a credit note that corrects one.

    `series` and `serial` are the gapless part of the number; a number that came
    in with a ledger file and has another shape has no serial. Amounts are
    positive on both kinds, in whole minor units of the currency; `net` and `tax` are the
    sums of the document's taxes. Whoever pays by
    `discount_until` may keep `discount_percent` of what is due before tax. `issued_by`
    and `issued_to` hold the facts of nursery and buyer as they were that day, by the
    names of `sales.parties`.
    """

    class Kind(models.TextChoices):
        SALE = "sale", "invoice"
        CREDIT = "credit", "credit note"

    number = models.CharField(max_length=24, unique=True)
    series = models.CharField(max_length=12, blank=True)
    serial = models.PositiveIntegerField(null=True, blank=True)
    kind = models.CharField(max_length=6, choices=Kind)
    date = models.DateField(db_index=True)
    due_on = models.DateField(null=True, blank=True)
    buyer = models.ForeignKey(
        Buyer, models.PROTECT, null=True, blank=True, related_name="documents"
    )
    buyer_name = models.CharField(max_length=80, blank=True)
    issued_by = models.JSONField(default=dict)
    issued_to = models.JSONField(default=dict)
    corrects = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="credits"
    )
    tax_basis = models.CharField(max_length=7, default="invoice")
    prices_include_tax = models.BooleanField(default=False)
    net = MoneyField()
    tax = MoneyField()
    discount_percent = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    discount_until = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    objects = DocumentQuerySet.as_manager()

    class Meta:
        ordering = ["-date", "-pk"]
        indexes = [models.Index(fields=["buyer", "date"], name="sales_document_buyer_date")]
        constraints = [
            models.UniqueConstraint(
                name="sales_document_serial_is_used_once", fields=["series", "serial"]
            ),
            models.CheckConstraint(
                name="sales_document_credit_names_what_it_corrects",
                condition=Q(kind="credit", corrects__isnull=False)
                | Q(kind="sale", corrects__isnull=True),
            ),
            models.CheckConstraint(
                name="sales_document_amounts_are_not_negative",
                condition=Q(net__gte=0, tax__gte=0),
            ),
            models.CheckConstraint(
                name="sales_document_discount_has_its_last_day",
                condition=Q(discount_percent=None, discount_until=None)
                | Q(discount_percent__gt=0, discount_percent__lt=100, discount_until__isnull=False),
            ),
        ]

    def __str__(self):
        return self.number

    @property
    def total(self):
        return self.net + self.tax

    @property
    def is_credit(self) -> bool:
        return self.kind == self.Kind.CREDIT


class TaxCategory(models.TextChoices):
    """How something is taxed, by the letters of UNCL5305 that EN 16931 uses."""

    STANDARD = "S", "taxed"
    ZERO = "Z", "zero rated"
    EXEMPT = "E", "exempt"
    OUTSIDE = "O", "not subject to tax"


class DocumentTax(LedgerRow):
    """The tax on all of a document that is taxed alike.

    `made_of` names the jurisdictions whose percents add up to `percent`; `reason` says
    why nothing is charged.
    """

    document = models.ForeignKey(Document, models.PROTECT, related_name="taxes")
    category = models.CharField(max_length=1, choices=TaxCategory)
    percent = models.DecimalField(max_digits=7, decimal_places=4, default=0)
    name = models.CharField(max_length=120, blank=True)
    reason = models.CharField(max_length=160, blank=True)
    base = MoneyField()
    amount = MoneyField()
    made_of = models.JSONField(default=list)

    class Meta:
        verbose_name_plural = "document taxes"
        ordering = ["document", "pk"]
        constraints = [
            models.UniqueConstraint(
                name="sales_documenttax_is_one_of_a_kind",
                fields=["document", "category", "percent"],
            ),
            models.CheckConstraint(
                name="sales_documenttax_amounts_are_not_negative",
                condition=Q(base__gte=0, amount__gte=0),
            ),
            models.CheckConstraint(
                name="sales_documenttax_is_charged_only_where_taxed",
                condition=Q(category="S") | Q(category__in=("Z", "E", "O"), percent=0, amount=0),
            ),
        ]

    def __str__(self):
        return f"{self.name} {self.percent.normalize():f} %: {self.amount}"

    @property
    def is_charged(self) -> bool:
        return self.category == TaxCategory.STANDARD


class DocumentLine(LedgerRow):
    """A number of plants of one kind at one price, and how they are taxed.

    `unit_price` is the price asked for, with tax where the document's prices include it;
    `net` is what the line brings before tax.
    `printed` holds the words that stand on the paper, by the names of
    `sales.parties.line_words`: a plant renamed later keeps its old name there.
    """

    document = models.ForeignKey(Document, models.PROTECT, related_name="lines")
    plant = models.ForeignKey(Plant, models.PROTECT, related_name="lines")
    container = models.ForeignKey(Container, models.PROTECT, related_name="lines")
    quantity = models.PositiveIntegerField()
    unit_price = MoneyField()
    price_reason = models.CharField(max_length=80, blank=True)
    net = MoneyField()
    tax_category = models.CharField(max_length=1, choices=TaxCategory)
    tax_percent = models.DecimalField(max_digits=7, decimal_places=4, default=0)
    printed = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="sales_documentline_quantity_is_positive",
                condition=Q(quantity__gt=0),
            ),
            models.CheckConstraint(
                name="sales_documentline_price_is_not_negative",
                condition=Q(unit_price__gte=0),
            ),
            models.CheckConstraint(
                name="sales_documentline_net_is_not_negative", condition=Q(net__gte=0)
            ),
        ]

    def __str__(self):
        return f"{self.quantity} {self.plant} {self.container}"

    @property
    def asked(self):
        """The price asked for all of it, as it is printed."""
        return self.quantity * self.unit_price


class Take(LedgerRow):
    """The plants of a line that one movement took out, or brought back.

    `net` is what they brought before tax; the takes of a line add up to the line's.
    """

    line = models.ForeignKey(DocumentLine, models.PROTECT, related_name="takes")
    movement = models.OneToOneField(Movement, models.PROTECT, related_name="take")
    net = MoneyField()

    def __str__(self):
        return f"{self.line_id}: movement {self.movement_id}"
