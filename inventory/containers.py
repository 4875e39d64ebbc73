"""Measure containers and find their class.

A class of ANSI Z60.1 is a label with a range of volumes.  It is not a number of gallons,
and the ranges leave gaps: a pot may belong to no class at all.
"""

from collections.abc import Iterable
from decimal import Decimal
from math import pi

LITRES_PER_CUBIC_INCH = 0.016387064
CUBIC_MILLIMETRES_PER_LITRE = 1_000_000

Measure = int | float | Decimal
ContainerClass = tuple[str, Measure | None, Measure | None]


def container_volume_litres(top_mm: Measure, bottom_mm: Measure, height_mm: Measure) -> float:
    """Return the volume of a round pot that tapers, by its inside diameters and height."""
    top, bottom, height = float(top_mm), float(bottom_mm), float(height_mm)
    if min(top, bottom, height) <= 0:
        raise ValueError("A pot's diameters and height must be above zero.")
    return pi * height * (top**2 + top * bottom + bottom**2) / 12 / CUBIC_MILLIMETRES_PER_LITRE


def cubic_inches(litres: Measure) -> float:
    """Return litres as cubic inches."""
    return float(litres) / LITRES_PER_CUBIC_INCH


def classify(volume_cubic_inches: Measure, classes: Iterable[ContainerClass]) -> str | None:
    """Return the code of the class a volume falls in, both limits included, or None in a gap.

    Rows without limits (trays, plants in the field) are passed over.
    """
    for code, low, high in classes:
        if low is not None and high is not None and low <= volume_cubic_inches <= high:
            return code
    return None
