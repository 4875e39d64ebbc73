"""What the stand sells: plants free to sell with their price, those sold most first."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal

from django.db.models import Q, Sum
from django.utils import timezone

from inventory.models import Container, Lot, Photo, Plant
from inventory.names import search_key
from inventory.queries.photos import newest_photos
from sales.models import Buyer, Document, DocumentLine, PriceList, StandDay
from sales.queries.availability import availability, free_now
from sales.queries.promises import promised, ready_by
from sales.queries.put_out import put_out_on

A_YEAR = timedelta(days=365)
ENOUGH_SALES = 2_000
# What a person hands over at a stand is a round number: the next five, ten, twenty...
ROUND_AMOUNTS = (1, 5, 10, 20, 50, 100)


@dataclass(frozen=True)
class StandPlant:
    """Plants of one kind and container that are free to sell, with the list price."""

    plant: Plant
    container: Container
    free: int
    price: Decimal | None
    photo: Photo | None = None

    @property
    def key(self) -> str:
        return f"{self.plant.pk}-{self.container.pk}"


def stand_plants(
    *, search: str = "", on: date, buyer: Buyer | None = None, stand: StandDay | None = None
) -> list[StandPlant]:
    """Return what the stand can sell today at a buyer's prices, those sold most first.

    `search` is part of a botanical or common name or a container, in any spelling. On a
    `stand` day what is out there comes first, and may be sold.
    """
    free: dict[tuple, int] = {}
    seen = {}
    rows = availability(on_list=buyer.list_in_use if buyer else PriceList.STAND, keeper=stand)
    for row in free_now(rows):
        key = (row.plant.pk, row.container.pk)
        free[key] = free.get(key, 0) + row.available
        seen[key] = row
    photos = newest_photos(row.plant.pk for row in seen.values())
    rows = [
        StandPlant(row.plant, row.container, free[key], row.price, photos.get(row.plant.pk))
        for key, row in seen.items()
    ]
    if search:
        rows = [row for row in rows if _matches(row, search)]
    sold = sold_since(on - A_YEAR)
    out = {(row.plant_id, row.container_id) for row in (put_out_on(stand) if stand else ())}

    def turn(row):
        key = (row.plant.pk, row.container.pk)
        return key not in out, -sold.get(key, 0)

    return sorted(rows, key=turn)


def sold_since(day: date) -> dict[tuple[int, int], int]:
    """Return {(plant, container): plants sold} since a day, returns not counted off.

    Of more sales than ENOUGH_SALES the newest tell what sells.
    """
    # Not as a join: SQLite would go through all lines there ever were, plant by plant.
    sales = Document.objects.filter(kind=Document.Kind.SALE, date__gte=day)
    newest = sales.order_by("-date", "-pk").values("pk")[:ENOUGH_SALES]
    rows = (
        DocumentLine.objects.filter(document__in=newest)
        .values_list("plant", "container")
        .annotate(sold=Sum("quantity"))
        .order_by()
    )
    return {(plant, container): sold for plant, container, sold in rows}


def lots_to_choose(
    keys: Iterable[tuple[int, int]], stand: StandDay | None = None
) -> dict[tuple[int, int], list[Lot]]:
    """Return {(plant, container): ready lots, oldest first} for those keys.

    Each has as `free` how many of its plants are held for nobody. On a `stand` day the lots
    that are out there come first, and their plants are free.
    """
    keys = set(keys)
    today = timezone.localdate()
    found = promised(today, {plant for plant, _ in keys})
    out = {line.lot_id for line in found.lines.values() if line.keeper == stand}
    held = found.beside(stand).allocation
    lots = (
        Lot.objects.filter(
            plant__in={plant for plant, _ in keys},
            container__in={container for _, container in keys},
            balance__on_hand__gt=0,
        )
        .filter(ready_by(today) | Q(container__kind="propagation"))
        .select_related("plant", "balance__place", "balance__measurement")
        .order_by("began_on", "pk")
    )
    rows: dict[tuple[int, int], list[Lot]] = {key: [] for key in keys}
    for lot in sorted(lots, key=lambda lot: lot.pk not in out):
        lot.free = held.left.get(lot.pk, lot.balance.on_hand)
        if (lot.plant_id, lot.container_id) in rows:
            rows[lot.plant_id, lot.container_id].append(lot)
    return rows


def round_amounts_over(total: Decimal, digits: int, most: int = 4) -> list[Decimal]:
    """Return the round amounts a buyer may hand over for a total, least first."""
    if total <= 0:
        return []
    # A currency without cents counts in hundreds what others count in ones.
    unit = Decimal(1) if digits else Decimal(100)
    over = {
        (total / (unit * size)).to_integral_value(ROUND_CEILING) * unit * size
        for size in ROUND_AMOUNTS
    }
    return sorted(amount for amount in over if amount > total)[:most]


def _matches(row: StandPlant, search: str) -> bool:
    wanted = search.strip().casefold()
    return (
        (search_key(search) and search_key(search) in row.plant.search_key)
        or wanted in row.plant.common_name.casefold()
        or wanted == row.container.code.casefold()
    )
