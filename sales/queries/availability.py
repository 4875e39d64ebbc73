"""Which plants are free to sell."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from inventory.models import Container, Lot, LotBalance, Plant
from inventory.names import search_key
from inventory.queries.holdings import holdings
from sales.models import PriceList
from sales.queries.prices import PriceBook


@dataclass(frozen=True)
class Available:
    """Plants of one kind, container and grade that can be sold, with the list price.

    `ready_on` is None where they are ready.
    """

    plant: Plant
    container: Container
    grade: str
    available: int
    price: Decimal | None
    ready_on: date | None = None


def availability(
    *,
    container: str = "",
    plant: str = "",
    on: date | None = None,
    on_list: str = PriceList.STAND,
) -> list[Available]:
    """Return what is free to sell, by container and plant.

    `container` is a container code, `plant` part of a plant's name however it is
    spelt. The price is that of one plant on `on_list`.
    """
    found = _free_on(on) if on else _free_now()
    prices = PriceBook(on)
    plants = Plant.objects.in_bulk({plant for plant, _, _ in found})
    containers = Container.objects.in_bulk({size for _, size, _ in found})
    rows = [
        Available(
            plants[p], containers[c], grade, free, prices.amount(p, c, grade=grade, on_list=on_list)
        )
        for (p, c, grade), free in found.items()
        if free and containers[c].for_sale
    ]
    if container:
        rows = [row for row in rows if row.container.code == container]
    if plant:
        rows = [row for row in rows if search_key(plant) in row.plant.search_key]
    return sorted(
        rows,
        key=lambda row: (row.container.position, row.plant.search_key, row.grade),
    )


def _free_now():
    # One container is picked out afterwards: asked for here, it would lead the database
    # through every lot there ever was in it.
    rows = (
        LotBalance.objects.filter(on_hand__gt=0, lot__container__kind="sale")
        .values_list("lot__plant", "lot__container", "lot__grade")
        .annotate(free=Sum("on_hand"))
        .order_by()
    )
    return {tuple(key): free for *key, free in rows}


def _free_on(on):
    held = holdings(on)
    found: dict[tuple, int] = {}
    for lot in Lot.objects.filter(pk__in=held):
        key = (lot.plant_id, lot.container_id, lot.grade)
        found[key] = found.get(key, 0) + held[lot.pk][0]
    return found
