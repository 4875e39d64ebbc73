"""Which lots the plants on the availability list stand in."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils import timezone

from inventory.models import LotBalance
from inventory.queries.expected import expected_plants
from inventory.sizes import Size
from sales.queries.availability import Available
from sales.queries.promises import is_ready, promised


@dataclass(frozen=True)
class AvailableHere:
    """A line of the availability list with the lots it adds up."""

    line: Available
    lots: list[LotBalance]

    @property
    def plant(self):
        return self.line.plant

    @property
    def container(self):
        return self.line.container

    @property
    def grade(self) -> str:
        return self.line.grade

    @property
    def size(self) -> Size | None:
        return self.line.size

    @property
    def available(self) -> int:
        return self.line.available

    @property
    def price(self):
        return self.line.price

    @property
    def ready_on(self):
        return self.line.ready_on


def with_lots(lines: Iterable[Available]) -> list[AvailableHere]:
    """Return the lines, each with the lots that hold its plants, oldest lot first.

    Each lot has as `free` how many of its plants are held for nobody; of those that still
    grow, how many of these are expected to live. They add up to the line.
    """
    lines = list(lines)
    today = timezone.localdate()
    left = promised(today, {line.plant.pk for line in lines}).allocation.left
    balances = (
        LotBalance.objects.filter(
            on_hand__gt=0,
            lot__plant__in={line.plant.pk for line in lines},
            lot__container__in={line.container.pk for line in lines},
        )
        .select_related("lot__container", "place", "measurement")
        .order_by("lot__began_on", "lot_id")
    )
    growing = {row.lot: row.on_hand for row in balances if not is_ready(row.lot, today)}
    expected = expected_plants(list(growing), {lot.pk: n for lot, n in growing.items()})
    found = defaultdict(list)
    for row in balances:
        lot = row.lot
        row.free = left.get(lot.pk, row.on_hand)
        later = lot.ready_on if lot in growing else None
        if later:
            row.free = row.free * expected[lot.pk] // row.on_hand
        found[lot.plant_id, lot.container_id, lot.grade, row.size, later].append(row)
    return [AvailableHere(line, found[_kind(line)]) for line in lines]


def _kind(line):
    return line.plant.pk, line.container.pk, line.grade, line.size, line.ready_on
