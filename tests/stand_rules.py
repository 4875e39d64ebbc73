"""What the database refuses of days at a stand, each by the rule's name."""

from collections.abc import Callable
from decimal import Decimal
from uuid import uuid4

from inventory.models import Lot
from sales.models import (
    BoxEntry,
    Document,
    StandCount,
    StandDay,
    StandPlants,
    StandSale,
    StandStep,
)
from tests.factories import DAY, PlaceFactory


def day(**more) -> StandDay:
    facts = {"place": more.pop("place", None) or PlaceFactory(), "date": DAY}
    return StandDay.objects.create(**facts | {"began_with": Decimal(40)} | more)


def step(**more) -> StandStep:
    facts = {"day": day(), "kind": "plants", "date": DAY, "request_id": uuid4()}
    return StandStep.objects.create(**facts | more)


def box(amount: str, kind: str, note: str = "") -> BoxEntry:
    return BoxEntry.objects.create(
        step=step(), date=DAY, kind=kind, amount=Decimal(amount), note=note, request_id=uuid4()
    )


def a_day_at_the_stand(lot: Lot) -> None:
    """Leave a row in each table of stand days that only grows."""
    one = step()
    StandPlants.objects.create(step=one, lot=lot, quantity=3)
    StandSale.objects.create(day=one.day, document=Document.objects.first())
    StandCount.objects.create(step=one, cash=Decimal(40))
    box("-5", "over_short")


def _twice_at_one_place(lot):
    place = PlaceFactory()
    day(place=place), day(place=place)


def _a_lot_twice(lot):
    one = step()
    for _ in range(2):
        StandPlants.objects.create(step=one, lot=lot, quantity=1)


STAND_RULES: dict[str, Callable[[Lot], object]] = {
    "sales_standday_is_the_only_one_open_at_its_place": _twice_at_one_place,
    "sales_standday_begins_with_no_less_than_nothing": lambda lot: day(began_with=Decimal(-1)),
    "sales_standday_state_is_known": lambda lot: day(state="busy"),
    "sales_standstep_kind_is_known": lambda lot: step(kind="rest"),
    "sales_standstep_reverses_another": lambda lot: step(id=77, reverses_id=77),
    "sales_standplants_name_a_lot_once": _a_lot_twice,
    "sales_standplants_are_not_nothing": lambda lot: StandPlants.objects.create(
        step=step(), lot=lot, quantity=0
    ),
    "sales_standcount_is_not_negative": lambda lot: StandCount.objects.create(
        step=step(), cash=Decimal(-1)
    ),
    "sales_boxentry_kind_is_known": lambda lot: box("1", "luck"),
    "sales_boxentry_is_not_nothing": lambda lot: box("0", "bank"),
    "sales_boxentry_not_paid_is_missing": lambda lot: box("1", "not_paid"),
    "sales_boxentry_paid_out_says_what_for": lambda lot: box("-1", "paid_out"),
}
