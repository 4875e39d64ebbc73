"""Plants put out at a stand: how many, and how many of them are still there."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Min, Sum

from inventory.models import Container, Lot, Movement, Plant
from sales.models import StandDay, StandPlants, Take


@dataclass(frozen=True, eq=False)
class PutOut:
    """Plants of one lot put out on a stand day, less those brought back; `sold` were sold there.

    It is read as a promise beside the lines of holds, whose keys are positive.
    """

    pk: int
    keeper: StandDay
    lot: Lot
    number: int
    sold: int

    grade = ""
    ahead = False
    until = None

    @property
    def open(self) -> int:
        """Plants that should still stand there."""
        return max(0, self.number - self.sold)

    @property
    def plant(self) -> Plant:
        return self.lot.plant

    @property
    def container(self) -> Container:
        return self.lot.container

    @property
    def lot_id(self) -> int:
        return self.lot.pk

    @property
    def plant_id(self) -> int:
        return self.lot.plant_id

    @property
    def container_id(self) -> int:
        return self.lot.container_id


def put_out(on: date, plants: Collection[int] | None = None) -> list[PutOut]:
    """Return what is out at the stands that are open, of some plants or of all."""
    rows = StandPlants.objects.filter(
        step__day__state=StandDay.State.OPEN,
        step__day__date__lte=on,
        step__reverses=None,
        step__reversed_by=None,
    )
    return _put_out(rows if plants is None else rows.filter(lot__plant__in=plants))


def put_out_on(day: StandDay) -> list[PutOut]:
    """Return what was put out on one day, open or closed, the closing left out."""
    rows = StandPlants.objects.filter(step__in=day.steps.in_force()).exclude(step__kind="closed")
    return _put_out(rows)


def _put_out(rows) -> list[PutOut]:
    sums = rows.order_by().values_list("step__day", "lot").annotate(Min("pk"), Sum("quantity"))
    found = sorted(sums, key=lambda row: row[2])
    if not found:
        return []
    days = StandDay.objects.select_related("place").in_bulk({day for day, *_ in found})
    lots = Lot.objects.select_related("plant", "container").in_bulk({lot for _, lot, *_ in found})
    sold = sold_of_lots(days)
    return [
        PutOut(-first, days[day], lots[lot], number, sold.get((day, lot), 0))
        for day, lot, first, number in found
    ]


def sold_of_lots(days: Iterable[int]) -> dict[tuple[int, int], int]:
    """Return {(stand day, lot): plants sold there}; undone sales do not count."""
    takes = Take.objects.filter(
        line__document__stand_sale__day__in=list(days),
        movement__kind=Movement.Kind.SOLD,
        movement__operation__reversed_by=None,
    ).order_by()
    sums = takes.values_list("line__document__stand_sale__day", "movement__from_lot")
    return {(day, lot): sold for day, lot, sold in sums.annotate(Sum("movement__quantity"))}
