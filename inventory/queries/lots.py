"""Lots as people ask for them: what they are, hold, cost and come from."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.age import age_class
from inventory.costing.categories import CATEGORIES, cost_of
from inventory.held import held_of_lots
from inventory.models import Batch, Lot, Nursery, Place, Placement
from inventory.queries.holdings import holdings
from inventory.queries.lineage import shares_of_lots
from inventory.queries.on_hand import in_force
from nursery.money import from_millionths

EMPTY_HOLDING = [0]


def grades_in_use() -> list[str]:
    """Return the grades that lots with plants have, in order."""
    rows = Lot.objects.filter(balance__on_hand__gt=0).exclude(grade="")
    return list(rows.order_by("grade").values_list("grade", flat=True).distinct())


@dataclass(frozen=True)
class LotRow:
    """One lot with what it holds at a date."""

    lot: Lot
    place: Place | None
    age_class: str
    on_hand: int
    held: int
    cost: Decimal
    is_ready: bool = True

    @property
    def available(self) -> int:
        """Plants ready to sell and not held for anyone."""
        return self.on_hand - self.held if self.is_ready else 0

    @property
    def unit_cost(self) -> Decimal | None:
        return self.cost / self.on_hand if self.on_hand else None


def lot_rows(on: date | None = None, counted: tuple[str, ...] = CATEGORIES) -> list[LotRow]:
    """Return every lot that had begun by that day, by code, at the cost counted."""
    day = on or date.today()
    holding, held = holdings(on), held_of_lots(on)
    places = places_on(on) if on else None
    season_end = season_end_of(Nursery.current())
    lots = Lot.objects.select_related("plant", "container", "balance__place")
    if on:
        lots = lots.filter(pk__in=holding)
    return [
        LotRow(
            lot,
            places.get(lot.pk) if on else lot.balance.place,
            age_class(lot.began_on, lot.transplanted_on, day, season_end),
            holding.get(lot.pk, EMPTY_HOLDING)[0],
            sum(row.plants for row in held.get(lot.pk, ())),
            from_millionths(cost_of(holding.get(lot.pk, EMPTY_HOLDING), counted)),
            lot.container.for_sale and not (lot.ready_on and lot.ready_on > day),
        )
        for lot in lots.order_by("code")
    ]


def places_on(on: date) -> dict[int, Place]:
    """Return {lot: place} at the end of that day."""
    rows = in_force(Placement.objects.filter(date__lte=on)).select_related("place")
    return {row.lot_id: row.place for row in rows.order_by("date", "operation_id", "pk")}


def batch_shares(on: date | None = None) -> dict[int, list[tuple[str, Fraction]]]:
    """Return {lot: [(batch code, share)]} for every lot, largest share first."""
    lots = Lot.objects.values_list("pk", flat=True)
    codes = dict(Batch.objects.values_list("pk", "code"))
    return {
        lot: sorted(
            ((codes[batch], share) for batch, share in shares.items()),
            key=lambda pair: (-pair[1], pair[0]),
        )
        for lot, shares in shares_of_lots(set(lots), on).items()
    }


def season_end_of(nursery: Nursery) -> tuple[int, int]:
    """Return month and day on which the growing season ends."""
    last_days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    return nursery.season_end_month, last_days[nursery.season_end_month - 1]
