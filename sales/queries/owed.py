"""What is owed on documents."""

from datetime import date
from decimal import Decimal

from django.db.models import ExpressionWrapper, F, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from nursery.fields import MoneyField
from sales.models import Document, OpenSale, Payment

NOTHING = Value(Decimal(0), output_field=MoneyField())


def with_owed(documents: QuerySet, on: date | None = None) -> QuerySet:
    """Annotate sales with `credited`, `paid` and `owed`, and whether `cancelled`.

    With `on` as it stood at the end of that day.
    """
    by_then = Q(date__lte=on) if on else Q()
    credits = (
        Document.objects.standing()
        .filter(by_then, corrects=OuterRef("pk"))
        .order_by()
        .values("corrects")
        .annotate(amount=Sum(F("net") + F("tax"), output_field=MoneyField()), before=Sum("net"))
    )
    payments = (
        Payment.objects.filter(by_then, document=OuterRef("pk"))
        .order_by()
        .values("document")
        .annotate(sum=Sum("amount"))
    )
    return documents.with_standing().annotate(
        credited=Coalesce(Subquery(credits.values("amount")), NOTHING),
        credited_net=Coalesce(Subquery(credits.values("before")), NOTHING),
        paid=Coalesce(Subquery(payments.values("sum")), NOTHING),
        owed=ExpressionWrapper(
            F("net") + F("tax") - F("credited") - F("paid"), output_field=MoneyField()
        ),
    )


def may_have_been_owed(on: date) -> QuerySet:
    """Return the keys of the sales on which something is owed now, or that changed later.

    Nothing was owed on any other at the end of that day; beginning with these keeps a question
    about it as quick as what happened since is short.
    """
    paid_later = Payment.objects.filter(date__gt=on, document__isnull=False).order_by()
    credited_later = Document.objects.filter(date__gt=on, corrects__isnull=False).order_by()
    return (
        OpenSale.objects.filter(amount__gt=0)
        .values("pk")
        .union(paid_later.values("document"), credited_later.values("corrects"))
    )


def owed(document: Document) -> Decimal:
    """Return what is still owed on a sale: total less credits less payments."""
    row = with_owed(Document.objects.filter(pk=document.pk)).get()
    return -row.paid if row.cancelled else row.owed
