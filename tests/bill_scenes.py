"""Scenes for shared cost: a heated house of known area with plants in it."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

from django.db.models import Sum

from inventory import operations
from inventory.models import Bill, CostEntry, Lot, Place
from tests.factories import PlaceFactory, container, lot_holding

FIRST, LAST = date(2025, 3, 1), date(2025, 3, 31)
BEFORE = date(2025, 2, 1)


def house(area: str | None = "10.00", **more) -> Place:
    """A place of ten square metres."""
    return PlaceFactory(area_m2=area and Decimal(area), heated=True, **more)


def spaced(code: str, spacing_cm: int | None, pattern: str = "square", footprint: int | None = 10):
    """Set how much room a container takes."""
    pot = container(code)
    pot.footprint_cm, pot.spacing_cm, pot.spacing_pattern = footprint, spacing_cm, pattern
    pot.save()
    return pot


def lot_in(place: Place | None, quantity: int, code: str, *, on: date = BEFORE, **more) -> Lot:
    """A lot that stands at a place from a day on."""
    lot = lot_holding(quantity, code, on=on, **more)
    if place:
        operations.move(lot=lot, place=place, on=on, request_id=uuid4())
    return lot


def bill(amount: str = "100.00", **more) -> Bill:
    """Enter a bill for March, of heat unless told otherwise."""
    facts = {"category": "heat", "first_day": FIRST, "last_day": LAST, "request_id": uuid4()}
    return operations.enter_bill(amount=Decimal(amount), **facts | more)


def parts_of(entered: Bill) -> dict[str, Decimal]:
    """Return {lot: its parts of a bill together}."""
    rows = entered.shares.values_list("operation__costs__lot__code")
    return dict(rows.annotate(part=Sum("operation__costs__amount")).order_by())


def parts_by_day(entered: Bill) -> list[tuple[str, date, Decimal]]:
    """Return (lot, day, part) of a bill, by lot and day."""
    costs = CostEntry.objects.filter(operation__bill_share__bill=entered)
    return list(costs.order_by("lot__code", "date").values_list("lot__code", "date", "amount"))
