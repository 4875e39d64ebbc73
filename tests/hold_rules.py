"""What the database refuses of holds, each by the rule's name."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from inventory.models import Lot, Movement
from sales.models import (
    HandedOver,
    Hold,
    HoldChange,
    HoldDeposit,
    HoldLine,
    HoldNumber,
    Payment,
)
from tests.factories import DAY, BuyerFactory


def hold(**more) -> Hold:
    facts = {"made_on": DAY, "until": DAY + timedelta(30)}
    return Hold.objects.create(buyer=BuyerFactory(), **facts | more)


def line(lot: Lot, **more) -> HoldLine:
    facts = {"plant": lot.plant, "container": lot.container, "quantity": 3}
    return HoldLine.objects.create(hold=hold(), **facts | more)


def change(held: Hold, **more) -> HoldChange:
    facts = {"request_id": uuid4(), "until_before": held.until, "until_after": held.until}
    return HoldChange.objects.create(hold=held, **facts | more)


def number(lot: Lot, before: int, after: int) -> HoldNumber:
    one = line(lot)
    return HoldNumber.objects.create(change=change(one.hold), line=one, before=before, after=after)


def hold_and_hand_over(lot: Lot) -> None:
    """Leave a row in each table of holds that only grows."""
    one = number(lot, 0, 3).line
    HandedOver.objects.create(line=one, movement=Movement.objects.filter(kind="sold").first())
    HoldDeposit.objects.create(hold=one.hold, payment=Payment.objects.first())


HOLD_RULES: dict[str, Callable[[Lot], object]] = {
    "inventory_lot_is_ready_after_it_began": lambda lot: Lot.objects.filter(pk=lot.pk).update(
        ready_on=DAY - timedelta(1)
    ),
    "sales_hold_ends_no_earlier_than_it_begins": lambda lot: hold(until=DAY - timedelta(1)),
    "sales_holdline_quantity_is_not_negative": lambda lot: line(lot, quantity=-1),
    "sales_holdline_price_is_not_negative": lambda lot: line(lot, unit_price=Decimal(-1)),
    "sales_holdchange_reverses_another": lambda lot: change(hold(), id=77, reverses_id=77),
    "sales_holdnumber_changes_something": lambda lot: number(lot, 3, 3),
}
