"""Which plants are free to sell."""

from collections import defaultdict
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
from inventory.sizes import Size
from sales.models import PriceList, StandDay
from sales.queries.prices import PriceBook
from sales.queries.promises import Promised, is_ready, promised


@dataclass(frozen=True)
class Available:
    """Plants of one kind, container and grade that can be sold, with the list price.

    `ready_on` is None where they are ready now. `size` is their height or spread, where it
    was asked for and they were measured.
    """

    plant: Plant
    container: Container
    grade: str
    available: int
    price: Decimal | None
    ready_on: date | None = None
    size: Size | None = None


def availability(
    *,
    container: str = "",
    plant: str = "",
    on: date | None = None,
    on_list: str = PriceList.STAND,
    keeper: StandDay | None = None,
    by_size: bool = False,
) -> list[Available]:
    """Return what is free to sell, by container and plant, and what will be with its day.

    `container` is a container code, `plant` part of a plant's name however it is
    spelt. The price is that of one plant on `on_list`. Rows with `ready_on` still grow: they
    count the plants that are expected to live until then and are not promised yet. What is
    out at the stand of `keeper` is free to whoever sells there. `by_size` parts what was
    measured by its size; the price is that of the grade.
    """
    found = _free_on(on) if on else _free_now()
    _take_off_held(found, promised(on).beside(keeper))
    if not by_size:
        found = _of_all_sizes(found)
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
            *by_size_and_day(row),
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
            size,
        )
        for (p, c, grade, size, ready_on), free in found.items()
        if free > 0 and containers[c].for_sale
    ]


def free_now(rows: Iterable[Available]) -> list[Available]:
    """Return the rows of plants that are ready."""
    return [row for row in rows if row.ready_on is None]


def by_size_and_day(row) -> tuple:
    """Return the order of rows alike but for their size and day: without a size, and now, first."""
    return row.size is not None, row.size, row.ready_on or date.min


def _free_now():
    # One container is picked out afterwards: asked for here, it would lead the database
    # through every lot there ever was in it.
    today = timezone.localdate()
    standing = LotBalance.objects.filter(on_hand__gt=0, lot__container__kind="sale")
    kind = ("lot__plant", "lot__container", "lot__grade")
    size = ("measurement__lower_mm", "measurement__upper_mm")
    rows = standing.values_list(*kind, *size, "lot__ready_on").annotate(free=Sum("on_hand"))
    found: dict[tuple, int] = defaultdict(int)
    growing = False
    for *kind, lower, upper, ready_on, free in rows.order_by():
        if ready_on and ready_on > today:
            growing = True
        else:
            found[*kind, Size(lower, upper) if lower else None, None] += free
    return found | _coming(_growing_lots(standing, today)) if growing else found


def _growing_lots(standing, today):
    rows = standing.filter(lot__ready_on__gt=today)
    rows = rows.select_related("lot__container", "measurement")
    return {row.lot: row.on_hand for row in rows}


def _free_on(on):
    held = holdings(on)
    found: dict[tuple, int] = defaultdict(int)
    growing = {}
    lots = Lot.objects.filter(pk__in=held).select_related("container", "balance__measurement")
    for lot in lots:
        if is_ready(lot, on):
            found[*_kind(lot), None] += held[lot.pk][0]
        else:
            growing[lot] = held[lot.pk][0]
    return found | _coming(growing)


def _coming(growing: dict[Lot, int]) -> dict[tuple, int]:
    """Return the plants of growing lots that are expected to live, by kind and day."""
    on_hand = {lot.pk: plants for lot, plants in growing.items()}
    expected = expected_plants(list(growing), on_hand)
    found: dict[tuple, int] = defaultdict(int)
    for lot in growing:
        found[*_kind(lot), lot.ready_on] += expected[lot.pk]
    return found


def _kind(lot):
    return lot.plant_id, lot.container_id, lot.grade, lot.balance.size


def _of_all_sizes(found: dict[tuple, int]) -> dict[tuple, int]:
    """Return what is there added up over the sizes."""
    summed: dict[tuple, int] = defaultdict(int)
    for (*kind, _, ready_on), free in found.items():
        summed[*kind, None, ready_on] += free
    return summed


def _take_off_held(found: dict[tuple, int], now: Promised) -> None:
    """Take what is promised off what is there."""
    for stock in now.stocks:
        key = (stock.plant, stock.container, stock.grade, stock.size, stock.ready_on)
        if key in found:
            left = now.allocation.left[stock.lot]
            found[key] -= stock.sellable(stock.plants) - stock.sellable(left)
