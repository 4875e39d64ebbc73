"""All documents with what is open on each."""

from datetime import date
from decimal import Decimal

from django.db.models import Case, ExpressionWrapper, F, Q, QuerySet, Sum, When

from nursery.fields import MoneyField
from sales.models import Document, OpenSale
from sales.queries.owed import NOTHING, with_owed


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
    return listed_documents().filter(pk__in=OpenSale.objects.values("pk"))


def owed_and_overdue(on: date, **which: object) -> tuple[Decimal, Decimal]:
    """Return what buyers owe now and how much of it was to be paid before that day.

    On all sales, or on those of which something is true, as `buyer`.
    """
    owing = OpenSale.objects.filter(amount__gt=0, **which)
    late = Sum("amount", filter=Q(document__due_on__lt=on))
    sums = owing.aggregate(all=Sum("amount"), late=late)
    return sums["all"] or Decimal(0), sums["late"] or Decimal(0)
