"""A small nursery that faults befall: few rows, so that each proof takes milliseconds."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

from inventory import operations
from sales import operations as selling
from tests.factories import BuyerFactory, NurseryFactory, PlaceFactory, PlantFactory, container

FIRST_DAY = date(2026, 3, 2)
SIZE, LARGER = "#1", "#3"
PRICES = {SIZE: Decimal("7.95"), LARGER: Decimal("18.50")}


def day(number: int) -> date:
    """Return a day of the season, all of which has gone by."""
    return FIRST_DAY + timedelta(number % 200)


def small_nursery() -> None:
    """Begin three plants, two places, three buyers, a tax, prices, and a lot of each plant."""
    NurseryFactory(name="Slow Clay Plants")
    PlaceFactory(name="Bench east", area_m2=Decimal("40.00"))
    PlaceFactory(name="Bench west", area_m2=Decimal("25.00"))
    selling.set_tax_rate(
        percent=Decimal("6.25"), on=date(2026, 1, 1), basis="invoice", name="Sales tax"
    )
    BuyerFactory.create_batch(3)
    for number in range(3):
        _plant(number)


def _plant(number: int) -> None:
    plant = PlantFactory()
    operations.begin(
        kind="stick",
        batch=f"B-{number}",
        lot=f"L-{number}",
        plant=plant,
        container=container(SIZE),
        quantity=400,
        on=FIRST_DAY,
        costs={"medium": Decimal("120.00"), "labour": Decimal("33.33")},
        request_id=uuid4(),
    )
    prices = [selling.NewPrice(plant, container(size), one) for size, one in PRICES.items()]
    selling.set_prices(prices=prices, on=date(2026, 1, 1), request_id=uuid4())
