"""Buyers with what they bought and what they owe."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import (
    ExpressionWrapper,
    F,
    Max,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
)
from django.db.models.functions import Coalesce, Greatest

from inventory.models import Container, Plant
from nursery.fields import MoneyField
from sales.models import Buyer, Contact, Document, DocumentLine, OpenSale
from sales.queries.document_list import listed_documents
from sales.queries.owed import NOTHING

# Of more documents than these the newest tell what a buyer buys.
ENOUGH = 500
# Within a question about a document or payment of a buyer from outside.
_OUTSIDE = OuterRef(OuterRef("pk"))
ENTRIES = Buyer.objects.filter(Q(pk=_OUTSIDE) | Q(same_as=_OUTSIDE)).order_by().values("pk")


def listed_buyers(since: date) -> QuerySet:
    """Return all buyers with `owed`, `bought` since a day net of credits, `last_on`.

    One written down twice is one, with what stands with either.
    """
    standing = Document.objects.standing()
    sales = Q(kind=Document.Kind.SALE)
    buyers = Buyer.objects.kept().annotate(
        bought=ExpressionWrapper(
            _sum(standing.filter(sales, date__gte=since), F("net"))
            - _sum(standing.filter(~sales, date__gte=since), F("net")),
            output_field=MoneyField(),
        ),
        owed=_open(),
        last_on=_last_on(),
    )
    return buyers.order_by("name")


def _sum(documents, amount):
    """Return the sum over a buyer's documents, as one question for all buyers."""
    sums = _together(documents.filter(buyer__in=ENTRIES))
    found = sums.annotate(sum=Sum(amount, output_field=MoneyField()))
    return Coalesce(Subquery(found.values("sum")), NOTHING)


def _open():
    sums = _together(OpenSale.objects.filter(buyer__in=ENTRIES))
    return Coalesce(Subquery(sums.annotate(sum=Sum("amount")).values("sum")), NOTHING)


def _last_on():
    """Return the day of the last sale. Of one entry, an index of its documents ends with it."""
    sales = Document.objects.filter(kind=Document.Kind.SALE)
    own = sales.filter(buyer=OuterRef("pk")).order_by("-date").values("date")[:1]
    of_double = _together(sales.filter(buyer__same_as=OuterRef("pk")))
    doubles = of_double.annotate(last=Max("date")).values("last")
    both = Subquery(own), Subquery(doubles)
    return Coalesce(Greatest(*both), *both)


def _together(rows):
    """Return some rows as one group, to be summed in a question within another."""
    return rows.order_by().annotate(all=Value(1)).values("all")


@dataclass(frozen=True)
class Bought:
    """A plant and container that a buyer has bought, less what came back."""

    plant: Plant
    container: Container
    quantity: int
    last_price: Decimal


def history_of(entries: Collection[Buyer]) -> QuerySet:
    """Return the documents of all entries of a buyer, newest first, with what is open on each."""
    return listed_documents().filter(buyer__in=entries)


def contacts_of(entries: Collection[Buyer]) -> QuerySet:
    """Return the people to ask for at a buyer's, those of all entries."""
    return Contact.objects.filter(buyer__in=entries, is_former=False)


def owed_by(documents: Iterable[Document]) -> Decimal:
    """Return what is open over some listed documents."""
    return sum((row.open for row in documents), Decimal(0))


def bought_by(entries: Collection[Buyer], most: int = 8) -> list[Bought]:
    """Return what the entries of a buyer buy most, and the price last paid.

    Their newest documents tell.
    """
    theirs = Document.objects.filter(buyer__in=entries).order_by("-date", "-pk")
    documents = Document.objects.standing().filter(pk__in=theirs.values("pk")[:ENOUGH])
    rows = (
        DocumentLine.objects.filter(document__in=documents.order_by().values("pk"))
        .values_list("plant", "container", "quantity", "unit_price", "document__kind")
        .order_by("document__date", "pk")
    )
    numbers: dict[tuple, int] = {}
    prices = {}
    for plant, container, quantity, price, kind in rows:
        sign = -1 if kind == Document.Kind.CREDIT else 1
        numbers[plant, container] = numbers.get((plant, container), 0) + sign * quantity
        if sign > 0:
            prices[plant, container] = price
    first = sorted(
        (key for key, n in numbers.items() if n > 0 and key in prices),
        key=lambda key: -numbers[key],
    )
    plants = Plant.objects.in_bulk({plant for plant, _ in first[:most]})
    sizes = Container.objects.in_bulk({size for _, size in first[:most]})
    return [Bought(plants[p], sizes[c], numbers[p, c], prices[p, c]) for p, c in first[:most]]
