"""All documents with what is open on each."""

from decimal import Decimal

from django.db.models import Case, ExpressionWrapper, F, QuerySet, Sum, When

from nursery.fields import MoneyField
from sales.models import Document
from sales.queries.owed import NOTHING, paid_in_full, with_owed


def listed_documents() -> QuerySet:
    """Return all documents, newest first, with `full`, `paid`, `open` and `cancelled`.

    `open` is negative where money is to be paid back, as on a paid sale that was
    cancelled; a credit note itself has nothing open.
    """
    return (
        with_owed(Document.objects.select_related("buyer", "corrects"))
        .annotate(
            full=ExpressionWrapper(F("net") + F("tax"), output_field=MoneyField()),
            open=Case(
                When(kind=Document.Kind.CREDIT, then=NOTHING),
                When(cancelled=True, then=NOTHING - F("paid")),
                default=F("owed"),
                output_field=MoneyField(),
            ),
        )
        .order_by("-date", "-pk")
    )


def open_documents() -> QuerySet:
    """Return the sales on which something is open, to receive or to pay back."""
    return listed_documents().exclude(open=Decimal(0))


def owed_in_all(documents: QuerySet) -> Decimal:
    """Return what buyers owe on documents from `listed_documents`."""
    owing = documents.exclude(pk__in=paid_in_full()).filter(open__gt=Decimal(0)).order_by()
    return owing.aggregate(sum=Sum("open"))["sum"] or Decimal(0)
