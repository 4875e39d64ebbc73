"""Say how large plants are, in the units of the nursery."""

from inventory.models import Lot, Nursery, Plant
from inventory.sizes import Size, size_in_words
from nursery.context import current_nursery

TOLD = {Plant.SizedBy.HEIGHT: "{size} tall", Plant.SizedBy.SPREAD: "{size} wide"}


def in_inches() -> bool:
    """Say whether the nursery measures in inches; else in centimetres."""
    return current_nursery().units == Nursery.Units.US


def range_of(size: Size | None) -> str:
    """Return a range as it is spoken: "18–24 in"; nothing for none."""
    return size_in_words(size, in_inches=in_inches()) if size else ""


def told_size(size: Size | None, plant: Plant) -> str:
    """Return a range and what was measured: "18–24 in tall"; nothing for none."""
    return TOLD[plant.sized_by].format(size=range_of(size)) if size else ""


def size_of(lot: Lot) -> str:
    """Return how large a lot's plants are: "18–24 in tall"; nothing where no size is known."""
    size = lot.balance.size
    return told_size(size, lot.plant) if size else ""
