"""What the ledger says needs doing in selling."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import F, QuerySet, Sum

from inventory.costing.categories import CATEGORIES
from inventory.models import Container, LotBalance, Plant
from sales.models import Document
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
    sales = Document.objects.filter(kind=Document.Kind.SALE, due_on__lt=on)
    return (
        with_owed(sales)
        .filter(owed__gt=0, cancelled=False)
        .select_related("buyer")
        .order_by("due_on", "pk")
    )


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
