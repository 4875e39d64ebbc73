"""Prove that documents agree with the plants that left, and buyers' accounts with what was paid."""

from collections import defaultdict
from collections.abc import Collection, Iterator
from datetime import date
from decimal import Decimal

from django.db.models import F, Sum
from django.db.models.functions import Coalesce

from nursery.fields import MoneyField
from sales.models import Buyer, Document, DocumentLine, Payment


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


def overdrawn_accounts(of: Collection[Buyer] | None = None) -> Iterator[tuple[str, date, Decimal]]:
    """Yield (buyer, day, what it held) wherever an account, of these, held less than nothing.

    Buyers who are the same have one account.
    """
    rows = Payment.objects.filter(buyer__isnull=False)
    if of is not None:
        rows = rows.filter(buyer__in=of)
    held: dict[str, Decimal] = defaultdict(Decimal)
    rows = rows.annotate(owner=Coalesce("buyer__same_as__name", "buyer__name"))
    days = rows.order_by("owner", "date").values("owner", "date").annotate(sum=Sum("amount"))
    for owner, day, amount in days.values_list("owner", "date", "sum"):
        held[owner] += amount
        if held[owner] < 0:
            yield owner, day, held[owner]
