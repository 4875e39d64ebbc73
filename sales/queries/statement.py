"""A buyer's statement: what was owed, what came to it, what was paid, what is owed."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Case, F, Q, Sum, When

from nursery.fields import MoneyField
from sales.models import Buyer, Document, Payment
from sales.queries.on_account import on_account
from sales.queries.owed_by_age import owed_on

NOTHING = Decimal(0)


@dataclass(frozen=True)
class StatementLine:
    """One thing that changed what is owed: more where positive, less where negative."""

    date: date
    kind: str
    number: str
    pk: int | None
    amount: Decimal
    balance: Decimal
    note: str = ""

    @property
    def way(self) -> str:
        """How it was paid, in words."""
        return Payment.Method(self.kind).label

    @property
    def charged(self) -> Decimal | None:
        return self.amount if self.amount > 0 else None

    @property
    def settled(self) -> Decimal | None:
        return -self.amount if self.amount < 0 else None


@dataclass(frozen=True)
class Statement:
    """The balance between buyer and nursery: owed where positive, in their favour if not.

    Money on account counts as paid, so a balance is what is owed less what lies there.
    """

    buyer: Buyer
    since: date
    until: date
    opening: Decimal
    lines: list[StatementLine]
    closing: Decimal
    on_account: Decimal
    open: list[Document]

    @property
    def in_favour(self) -> Decimal:
        """What the buyer has with the nursery where the balance is below nothing."""
        return -self.closing

    @property
    def owed(self) -> Decimal:
        """What is owed on the open invoices."""
        return sum((row.owed for row in self.open), NOTHING)


def statement_of(buyer: Buyer, since: date, until: date) -> Statement:
    """Return a buyer's statement for a span of days, both included."""
    entries = buyer.entries
    documents = Document.objects.standing().filter(buyer__in=entries)
    payments = _payments(entries)
    opening = _sum_of(documents, payments, Q(date__lt=since))
    span = Q(date__range=(since, until))
    lines, balance = [], opening
    for day, kind, number, pk, amount, note in _rows(documents.filter(span), payments.filter(span)):
        balance += amount
        lines.append(StatementLine(day, kind, number, pk, amount, balance, note))
    still_open = list(owed_on(until).filter(buyer__in=entries))
    return Statement(
        buyer, since, until, opening, lines, balance, on_account(buyer, until), still_open
    )


def _payments(entries):
    """Return the money of a buyer; what went between account and document changes nothing.

    Found by two indexes: for one condition on either, all payments would be read.
    """
    on_account = Payment.objects.filter(buyer__in=entries).order_by().values("pk")
    on_documents = Payment.objects.filter(document__buyer__in=entries).order_by().values("pk")
    rows = Payment.objects.filter(pk__in=on_account.union(on_documents))
    return rows.in_force().exclude(method=Payment.Method.ACCOUNT)


def _sum_of(documents, payments, days):
    signed = Case(
        When(kind=Document.Kind.CREDIT, then=NOTHING - F("net") - F("tax")),
        default=F("net") + F("tax"),
        output_field=MoneyField(),
    )
    charged = documents.filter(days).order_by().aggregate(sum=Sum(signed))["sum"]
    paid = payments.filter(days).order_by().aggregate(sum=Sum("amount"))["sum"]
    return (charged or NOTHING) - (paid or NOTHING)


def _rows(documents, payments) -> Iterator[tuple]:
    """Yield (date, kind, number, document's key, amount, note) by date, documents first."""
    found = [
        (row.date, 0, row.pk, row.kind, row.number, row.pk, _signed(row), "") for row in documents
    ]
    for row in payments.select_related("document"):
        number = row.document.number if row.document else ""
        found.append(
            (row.date, 1, row.pk, row.method, number, row.document_id, -row.amount, row.note)
        )
    for day, _, _, *rest in sorted(found, key=lambda row: row[:3]):
        yield day, *rest


def _signed(document):
    return -document.total if document.is_credit else document.total
