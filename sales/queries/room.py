"""How many plants of a kind could be promised: ready now, and still growing."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from inventory.models import Container, Plant
from sales.promising import Promise, allocate, could_serve
from sales.queries.promises import position_of, promise_of, promised_lines, stocks_of


@dataclass(frozen=True)
class Room:
    """Plants of a kind and container that are promised to nobody.

    `grades` are those its lots have, each with how many are free now.
    """

    plant: Plant
    container: Container
    free: int
    growing: int
    ready_on: date | None
    grades: tuple[tuple[str, int], ...] = ()

    @property
    def key(self) -> str:
        return f"{self.plant.pk}-{self.container.pk}"


def rooms_for(kinds: Iterable[tuple[int, int]], on: date) -> list[Room]:
    """Return what could be promised of each (plant, container), growing ones on any day."""
    kinds = list(dict.fromkeys(kinds))
    plants = Plant.objects.in_bulk({plant for plant, _ in kinds})
    sizes = Container.objects.in_bulk({size for _, size in kinds})
    stocks = stocks_of(plants, on)
    left = allocate(map(promise_of, promised_lines(on, set(plants))), stocks)
    return [
        _room(plants[plant], sizes[size], left, stocks)
        for plant, size in kinds
        if plant in plants and size in sizes
    ]


def _room(plant, container, left, stocks):
    of_plant = [stock for stock in stocks if stock.plant == plant.pk]
    promise = Promise(0, plant.pk, container.pk, position_of(container), 0, date.max)
    free = could_serve(promise, left, of_plant)
    both = could_serve(replace(promise, ahead=True), left, of_plant)
    days = [stock.ready_on for stock in of_plant if stock.ready_on and left.left[stock.lot]]
    grades = sorted({row.grade for row in of_plant if row.container == container.pk} - {""})
    of_grades = [
        (grade, could_serve(replace(promise, grade=grade), left, of_plant)) for grade in grades
    ]
    return Room(plant, container, free, both - free, max(days, default=None), tuple(of_grades))
