"""What one plant takes when it is stuck or potted, with what it costs today."""

from fractions import Fraction
from functools import cache

from inventory.costing.supplies import loose_volume
from inventory.models import Container, Plant, Supply
from inventory.planning.needs import Part, Takes
from inventory.queries.recipe_list import last_worker
from inventory.queries.supplies import recipe_for
from inventory.queries.supply_list import rows_by_supply


class TakesBook:
    """The recipes of one plant with the prices of today, each asked for once."""

    def __init__(self, plant: Plant):
        self._plant = plant
        self.takes = cache(self._takes)
        self._hourly = cache(self._hourly_of)

    def _takes(self, kind: str, container: int) -> Takes:
        recipe = recipe_for(kind, Container(pk=container), self._plant)
        if recipe is None:
            return Takes()
        lines = list(recipe.lines.select_related("supply"))
        there = rows_by_supply(line.supply for line in lines)
        parts = tuple(_part(line, there[line.supply_id].unit_price) for line in lines)
        return Takes(parts, Fraction(recipe.minutes), self._hourly(kind), is_known=True)

    def _hourly_of(self, kind):
        worker = last_worker(kind)
        return Fraction(worker.hourly_rate) if worker else Fraction(0)


def _part(line, price):
    supply: Supply = line.supply
    quantity = Fraction(loose_volume(line.quantity, supply.settling_percent))
    return Part(supply.name, supply.get_unit_display(), quantity, Fraction(price))
