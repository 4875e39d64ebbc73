"""Which plants are free to sell."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum
from django.utils import timezone

from inventory.models import Container, Lot, LotBalance, Plant
from inventory.names import search_key
from inventory.queries.expected import expected_plants
from inventory.queries.holdings import holdings
from sales.models import PriceList, StandDay
from sales.queries.prices import PriceBook
from sales.queries.promises import Promised, is_ready, promised


@dataclass(frozen=True)
class Available:
    """Plants of one kind, container and grade that can be sold, with the list price.

    `ready_on` is None where they are ready now.
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
    keeper: StandDay | None = None,
) -> list[Available]:
    """Return what is free to sell, by container and plant, and what will be with its day.

    `container` is a container code, `plant` part of a plant's name however it is
    spelt. The price is that of one plant on `on_list`. Rows with `ready_on` still grow: they
    count the plants that are expected to live until then and are not promised yet. What is
    out at the stand of `keeper` is free to whoever sells there.
    """
    found = _free_on(on) if on else _free_now()
    _take_off_held(found, promised(on).beside(keeper))
    rows = _rows(found, PriceBook(on), on_list)
    if container:
        rows = [row for row in rows if row.container.code == container]
    if plant:
        rows = [row for row in rows if search_key(plant) in row.plant.search_key]
    return sorted(
        rows,
        key=lambda row: (
            row.container.position,
            row.plant.search_key,
            row.grade,
            str(row.ready_on or ""),
        ),
    )


def _rows(found, prices, on_list):
    plants = Plant.objects.in_bulk({plant for plant, *_ in found})
    containers = Container.objects.in_bulk({size for _, size, *_ in found})
    return [
        Available(
            plants[p],
            containers[c],
            grade,
            free,
            prices.amount(p, c, grade=grade, on_list=on_list),
            ready_on,
        )
        for (p, c, grade, ready_on), free in found.items()
        if free > 0 and containers[c].for_sale
    ]


def free_now(rows: Iterable[Available]) -> list[Available]:
    """Return the rows of plants that are ready."""
    return [row for row in rows if row.ready_on is None]


def _place_in_list(row):
    ready_on = row.ready_on or date.min
    return row.container.position, row.plant.search_key, row.grade, ready_on


def _free_now():
    # One container is picked out afterwards: asked for here, it would lead the database
    # through every lot there ever was in it.
    today = timezone.localdate()
    standing = LotBalance.objects.filter(on_hand__gt=0, lot__container__kind="sale")
    rows = (
        standing.values_list("lot__plant", "lot__container", "lot__grade", "lot__ready_on")
        .annotate(free=Sum("on_hand"))
        .order_by()
    )
    found: dict[tuple, int] = {}
    growing = False
    for *kind, ready_on, free in rows:
        if ready_on and ready_on > today:
            growing = True
        else:
            found[*kind, None] = found.get((*kind, None), 0) + free
    return found | _coming(_growing_lots(standing, today)) if growing else found


def _growing_lots(standing, today):
    rows = standing.filter(lot__ready_on__gt=today).select_related("lot__container")
    return {row.lot: row.on_hand for row in rows}


def _free_on(on):
    held = holdings(on)
    found: dict[tuple, int] = {}
    growing = {}
    for lot in Lot.objects.filter(pk__in=held).select_related("container"):
        if is_ready(lot, on):
            key = (lot.plant_id, lot.container_id, lot.grade, None)
            found[key] = found.get(key, 0) + held[lot.pk][0]
        else:
            growing[lot] = held[lot.pk][0]
    return found | _coming(growing)


def _coming(growing: dict[Lot, int]) -> dict[tuple, int]:
    """Return the plants of growing lots that are expected to live, by kind and day."""
    on_hand = {lot.pk: plants for lot, plants in growing.items()}
    expected = expected_plants(list(growing), on_hand)
    found: dict[tuple, int] = {}
    for lot in growing:
        key = (lot.plant_id, lot.container_id, lot.grade, lot.ready_on)
        found[key] = found.get(key, 0) + expected[lot.pk]
    return found


def _take_off_held(found: dict[tuple, int], now: Promised) -> None:
    """Take what is promised off what is there."""
    for stock in now.stocks:
        key = (stock.plant, stock.container, stock.grade, stock.ready_on)
        if key in found:
            left = now.allocation.left[stock.lot]
            found[key] -= stock.sellable(stock.plants) - stock.sellable(left)
