"""Prove that documents agree with the plants that left, and buyers' accounts with what was paid."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from django.db.models import F, Sum

from nursery.fields import MoneyField
from sales.models import Document, DocumentLine, Payment


def document_differences() -> Iterator[str]:
    """Yield, in words, each document that does not add up. None is right."""
    lines = DocumentLine.objects.annotate(taken=Sum("takes__movement__quantity"))
    for line in lines.exclude(taken=F("quantity")).select_related("document"):
        yield (
            f"Document {line.document}: a line of {line.quantity} {line.plant} took "
            f"{line.taken or 0} plants."
        )
    worth = Sum("lines__net", output_field=MoneyField())
    for document in Document.objects.annotate(worth=worth).exclude(worth=F("net")):
        yield f"Document {document}: its lines come to {document.worth}, not {document.net}."
    taxes = {"bases": Sum("taxes__base"), "amounts": Sum("taxes__amount")}
    for document in Document.objects.annotate(**taxes).exclude(bases=F("net"), amounts=F("tax")):
        yield (
            f"Document {document}: its taxes come to {document.bases} and {document.amounts}, "
            f"not {document.net} and {document.tax}."
        )
    for line in DocumentLine.objects.annotate(parts=Sum("takes__net")).exclude(parts=F("net")):
        yield (
            f"Document {line.document}: the plants of a line come to {line.parts}, not {line.net}."
        )


def account_differences() -> Iterator[str]:
    """Yield, in words, each buyer's account that does not add up. None is right.

    What goes between an account and documents comes to nothing, and no account ever held
    less than nothing at the end of a day.
    """
    moved = Payment.objects.filter(method=Payment.Method.ACCOUNT).aggregate(sum=Sum("amount"))
    if moved["sum"]:
        yield f"What went between accounts and documents leaves {moved['sum']}, not nothing."
    for buyer, day, held in overdrawn_accounts():
        yield f"The account of {buyer} held {held.normalize():f} on {day.isoformat()}."


def overdrawn_accounts() -> Iterator[tuple[str, date, Decimal]]:
    """Yield (buyer, day, what it held) wherever an account held less than nothing."""
    held: dict[str, Decimal] = defaultdict(Decimal)
    rows = Payment.objects.filter(buyer__isnull=False).order_by("buyer__name", "date")
    days = rows.values("buyer__name", "date").annotate(sum=Sum("amount"))
    for buyer, day, amount in days.values_list("buyer__name", "date", "sum"):
        held[buyer] += amount
        if held[buyer] < 0:
            yield buyer, day, held[buyer]
