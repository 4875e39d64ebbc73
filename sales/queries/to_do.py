"""What the ledger says needs doing in selling."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, F, OuterRef, QuerySet, Sum

from inventory.costing.categories import CATEGORIES
from inventory.models import Container, Count, Lot, LotBalance, Movement, Plant
from inventory.queries.on_hand import in_force
from sales.models import Document, FoundAtSale, OpenSale
from sales.queries.owed import with_owed
from sales.queries.prices import PriceBook


@dataclass(frozen=True)
class PriceTrouble:
    """Plants for sale without a price, or with one below what they cost each."""

    plant: Plant
    container: Container
    on_hand: int
    price: Decimal | None
    unit_cost: Decimal

    @property
    def is_missing(self) -> bool:
        return self.price is None


def overdue_invoices(on: date) -> QuerySet:
    """Return the sales whose day to pay has passed with something owed, oldest first."""
    open_ones = OpenSale.objects.filter(amount__gt=0).values("pk")
    sales = Document.objects.filter(pk__in=open_ones, due_on__lt=on)
    return with_owed(sales).filter(cancelled=False).select_related("buyer").order_by("due_on", "pk")


def price_troubles(
    on: date | None = None, counted: tuple[str, ...] = CATEGORIES
) -> list[PriceTrouble]:
    """Return the plants on hand whose list price is missing or below their cost."""
    prices = PriceBook(on)
    rows = (
        LotBalance.objects.filter(on_hand__gt=0, lot__container__kind="sale")
        .values_list("lot__plant", "lot__container", "lot__grade")
        .annotate(plants=Sum("on_hand"), **{f"sum_{c}": Sum(f"cost_{c}") for c in counted})
        .order_by(F("lot__container__position"), F("lot__plant__search_key"))
    )
    found = [
        (plant, size, plants, prices.amount(plant, size, grade=grade), sum(costs) / plants)
        for plant, size, grade, plants, *costs in rows
    ]
    wrong = [row for row in found if row[3] is None or row[3] < row[4]]
    plants = Plant.objects.in_bulk([row[0] for row in wrong])
    containers = Container.objects.in_bulk([row[1] for row in wrong])
    return [PriceTrouble(plants[p], containers[c], *rest) for p, c, *rest in wrong]


def lots_sold_beyond() -> list[tuple[Lot, int]]:
    """Return the lots of which more was sold than the ledger had, and how many, until counted."""
    counted_since = in_force(
        Count.objects.filter(lot=OuterRef("to_lot"), operation__gt=OuterRef("operation"))
    ).exclude(operation__movements__found_at_sale__isnull=False)
    # By their keys: a join would begin with all movements there ever were.
    rows = (
        Movement.objects.filter(pk__in=FoundAtSale.objects.values("movement"))
        .filter(~Exists(counted_since), operation__reversed_by=None)
        .values_list("to_lot")
        .annotate(plants=Sum("quantity"))
        .order_by("to_lot__code")
    )
    found = dict(rows)
    lots = Lot.objects.select_related("plant").in_bulk(found) if found else {}
    return [(lots[pk], plants) for pk, plants in found.items()]
