"""What the database refuses of sizes, each by the rule's name, and a lot that is measured."""

from collections.abc import Callable
from datetime import timedelta
from uuid import uuid4

from inventory.models import Lot, Measurement, Operation
from inventory.operations import Measured, measure_lot
from inventory.sizes import Size
from tests.factories import DAY, PlantFactory


def measured(lot: Lot, *sizes: tuple, on=DAY, request_id=None) -> Operation:
    """Measure a lot: (lower mm, upper mm, plants) or with the lot they become."""
    rows = [Measured(Size(low, high), number, *code) for low, high, number, *code in sizes]
    return measure_lot(lot=lot, sizes=rows, on=on, request_id=request_id or uuid4())


def measurement(lot: Lot, **more) -> Measurement:
    happened = Operation.objects.create(kind="measure", date=DAY, request_id=uuid4())
    facts = {"operation": happened, "date": DAY, "lot": lot, "measured_on": DAY}
    return Measurement.objects.create(**facts | more)


SIZE_RULES: dict[str, Callable[[Lot], object]] = {
    "inventory_measurement_is_a_range_or_none": lambda lot: measurement(
        lot, lower_mm=457, upper_mm=457
    ),
    "inventory_measurement_was_made_by_its_date": lambda lot: measurement(
        lot, lower_mm=457, upper_mm=610, measured_on=DAY + timedelta(1)
    ),
    "inventory_plant_is_sized_by_height_or_spread": lambda lot: PlantFactory(sized_by="weight"),
}
