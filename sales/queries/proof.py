"""Prove that documents agree with the plants that left and the numbers they bear."""

from collections.abc import Iterator

from django.db.models import F, Sum

from nursery.fields import MoneyField
from sales.models import Document, DocumentLine


def document_differences() -> Iterator[str]:
    """Yield, in words, each document that does not add up. None is right."""
    lines = DocumentLine.objects.annotate(taken=Sum("takes__movement__quantity"))
    for line in lines.exclude(taken=F("quantity")).select_related("document"):
        yield (
            f"Document {line.document}: a line of {line.quantity} {line.plant} took "
            f"{line.taken or 0} plants."
        )
    worth = Sum(F("lines__quantity") * F("lines__unit_price"), output_field=MoneyField())
    for document in Document.objects.annotate(worth=worth).exclude(worth=F("net")):
        yield f"Document {document}: its lines come to {document.worth}, not {document.net}."
