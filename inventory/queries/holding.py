"""What some lots hold at the end of a day, without reading all the others."""

from collections.abc import Collection
from datetime import date

from django.db.models import Sum

from inventory.costing.categories import CATEGORIES
from inventory.costing.replay import EMPTY, less, plus
from inventory.models import Carried, CostEntry, LotBalance
from inventory.models.kept import COST_FIELDS
from inventory.queries.on_hand import in_force
from nursery.money import to_millionths

CATEGORY_COLUMN = {category: number for number, category in enumerate(CATEGORIES, start=1)}


def holdings_of(lots: Collection[int], on: date) -> dict[int, list[int]]:
    """Return {lot: [plants, cost in each category in millionths]} at the end of that day."""
    held, later = {}, []
    rows = LotBalance.objects.filter(pk__in=lots).values_list(
        "pk", "last_on", "on_hand", *COST_FIELDS
    )
    for lot, last_on, on_hand, *costs in rows:
        held[lot] = [on_hand, *map(to_millionths, costs)]
        if last_on is not None and last_on > on:
            later.append(lot)
    if later:
        _take_back(held, later, on)
    return held


def _take_back(held, lots, on):
    """Turn what the lots hold now into what they held that day."""
    for side, change in (("to_lot", less), ("from_lot", plus)):
        for lot, vector in _carried_after(lots, on, side):
            held[lot] = change(held[lot], vector)
    for lot, category, amount in _charged_after(lots, on):
        vector = EMPTY.copy()
        vector[CATEGORY_COLUMN[category]] = to_millionths(amount)
        held[lot] = less(held[lot], vector)


def _carried_after(lots, on, side):
    end = f"movement__{side}"
    rows = Carried.objects.filter(movement__date__gt=on, **{f"{end}__in": lots})
    sums = [Sum(field) for field in COST_FIELDS]
    names = [f"{field}__sum" for field in COST_FIELDS]
    grouped = rows.order_by().values(end).annotate(*sums, Sum("movement__quantity"))
    for row in grouped.values_list(end, "movement__quantity__sum", *names):
        lot, plants, *costs = row
        yield lot, [plants, *map(to_millionths, costs)]


def _charged_after(lots, on):
    entries = in_force(CostEntry.objects.filter(lot__in=lots, date__gt=on, uncarried=None))
    grouped = entries.order_by().values("lot", "category").annotate(Sum("amount"))
    return grouped.values_list("lot", "category", "amount__sum")
