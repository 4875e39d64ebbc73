"""Which sizes a plant was sorted into, to be offered again."""

from decimal import Decimal
from itertools import pairwise

from inventory.models import Measurement, Operation, Plant
from inventory.queries.on_hand import in_force
from inventory.sizes import Size, to_mm

# Common practice, to begin with; each nursery soon has its own.
USUAL_INCHES = (6, 12, 18, 24, 36)
USUAL_CENTIMETRES = (20, 30, 40, 60, 80)
LOOKED_BACK = 40


def sizes_offered(plant: Plant, *, in_inches: bool) -> list[Size]:
    """Return the sizes this plant was last sorted into, the smallest first, else usual ones.

    None of them overlap: an older size gives way to a newer one.
    """
    made = in_force(Measurement.objects.filter(lot__plant=plant, lower_mm__isnull=False))
    made = made.filter(operation__kind=Operation.Kind.MEASURE).order_by("-operation_id", "pk")
    found: list[Size] = []
    for row in made[:LOOKED_BACK]:
        if not any(row.size.overlaps(size) for size in found):
            found.append(row.size)
    return sorted(found) or _usual(in_inches)


def _usual(in_inches):
    steps = USUAL_INCHES if in_inches else USUAL_CENTIMETRES
    mm = [to_mm(Decimal(step), in_inches=in_inches) for step in steps]
    return [Size(*pair) for pair in pairwise(mm)]
