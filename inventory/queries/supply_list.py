"""Every supply with what is there, what it is worth, and what to order."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from inventory.costing.supplies import cost_of_use, packs_to_buy
from inventory.models import Supply, SupplyEntry
from inventory.queries.supplies import OnHand
from nursery.fields import QuantityField
from nursery.money import from_millionths, to_millionths


@dataclass(frozen=True)
class SupplyRow:
    """One supply as the list shows it."""

    supply: Supply
    there: OnHand

    @property
    def pk(self) -> int:
        return self.supply.pk

    @property
    def name(self) -> str:
        return self.supply.name

    @property
    def on_hand(self) -> Decimal:
        return self.there.quantity

    @property
    def value(self) -> Decimal:
        return self.there.value

    @property
    def unit_price(self) -> Fraction:
        return self.there.price

    @property
    def reorder_at(self) -> Decimal | None:
        return self.supply.reorder_at

    @property
    def is_low(self) -> bool:
        """Say whether it is time to order: no more there than the level to order at."""
        return self.reorder_at is not None and self.on_hand <= self.reorder_at

    @property
    def packs_to_buy(self) -> int:
        """The whole packs that bring it above the level to order at; units without packs."""
        if not self.is_low:
            return 0
        pack = self.supply.pack_size or Decimal(1)
        packs = packs_to_buy(self.reorder_at, self.on_hand, pack)
        return packs if self.on_hand + packs * pack > self.reorder_at else packs + 1

    def cost_of(self, quantity: Decimal) -> Decimal:
        """Return what using that much costs now, as the operation will charge it."""
        there = self.there
        return from_millionths(
            cost_of_use(
                to_millionths(quantity),
                to_millionths(there.quantity),
                to_millionths(there.value),
                there.last_price,
            )
        )


def supply_rows(on: date | None = None, supplies: QuerySet | None = None) -> list[SupplyRow]:
    """Return the supplies by name, as they stood at the end of that day; now by default."""
    until = Q(entries__date__lte=on) if on else Q()
    bought = SupplyEntry.objects.filter(
        supply=OuterRef("pk"), kind=SupplyEntry.Kind.BOUGHT, reversed_by=None
    )
    last = (bought.filter(date__lte=on) if on else bought).order_by("-date", "-pk")
    found = (Supply.objects.all() if supplies is None else supplies).annotate(
        there=_sum("entries__quantity", until),
        worth=_sum("entries__amount", until),
        last_quantity=Subquery(last.values("quantity")[:1]),
        last_amount=Subquery(last.values("amount")[:1]),
    )
    return [SupplyRow(supply, _on_hand(supply)) for supply in found.order_by("name")]


def low_supplies() -> list[SupplyRow]:
    """Return the supplies that it is time to order."""
    watched = Supply.objects.filter(reorder_at__isnull=False)
    return [row for row in supply_rows(supplies=watched) if row.is_low]


def rows_by_supply(supplies: Iterable[Supply]) -> dict[int, SupplyRow]:
    """Return what is there of some supplies, by their keys, in one question."""
    keys = [supply.pk for supply in supplies]
    return {row.pk: row for row in supply_rows(supplies=Supply.objects.filter(pk__in=keys))}


def _sum(name, until):
    total = Sum(name, filter=until) if until else Sum(name)
    return Coalesce(total, Decimal(0), output_field=QuantityField())


def _on_hand(supply):
    price = Fraction(0)
    if supply.last_quantity:
        price = Fraction(supply.last_amount) / Fraction(supply.last_quantity)
    return OnHand(supply.there, supply.worth, price)
