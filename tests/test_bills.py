"""A bill is shared among the lots that stood there, adds up, and is undone whole."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db.models import Sum

from inventory import operations
from inventory.errors import AlreadyUndone, CannotUndo, LedgerError, PeriodClosed
from inventory.models import (
    Bill,
    BillShare,
    Closing,
    CostEntry,
    Lot,
    Operation,
    Person,
    Place,
)
from inventory.operations.spending import Work
from inventory.queries.bills import Asked, share_out
from inventory.queries.conservation import conservation
from inventory.queries.occupancy import occupancy
from inventory.queries.proof import differences
from tests.bill_scenes import FIRST, LAST, bill, house, lot_in, parts_of, spaced
from tests.entering import kept_figures
from tests.factories import container, sell_from
from tests.filled import fill_with_the_demo
from tests.ledger_figures import assert_conserved

pytestmark = pytest.mark.django_db


def test_a_bill_is_shared_by_area_and_days():
    spaced("#1", None)
    place = house()
    lot_in(place, 100, "A")
    lot_in(place, 300, "B")
    lot_in(house(), 500, "ELSEWHERE")

    entered = bill("100.00", place=place)

    assert parts_of(entered) == {"A": Decimal("25"), "B": Decimal("75")}
    assert entered.unused_amount == 0
    assert_conserved()


def test_a_lot_that_came_halfway_bears_half():
    place = house()
    lot_in(place, 100, "A")
    lot_in(place, 100, "B", on=FIRST + timedelta(days=15))

    parts = parts_of(bill("47.00", place=place))

    assert parts == {"A": Decimal("31"), "B": Decimal("16")}, "31 days and 16"


def test_the_parts_of_a_place_belong_to_it():
    larger = house(None)
    lot_in(house(parent=larger), 10, "A")

    assert parts_of(bill(place=larger)) == {"A": Decimal("100")}


def test_unused_space_is_expensed_where_the_grower_wants_it():
    spaced("#1", None)
    place = house("10.00")
    lot_in(place, 400, "A")

    entered = bill("100.00", place=place, unused="expense")

    assert parts_of(entered) == {"A": Decimal("40")}, "400 pots of 100 cm² are 4 of 10 m²"
    assert entered.unused_amount == Decimal("60")


def test_an_empty_house_can_be_expensed_and_undone():
    place = house()

    entered = bill("80.00", place=place, unused="expense")

    assert (entered.unused_amount, entered.shares.count()) == (Decimal("80"), 0)
    back = operations.undo_bill(bill=entered, request_id=uuid4())
    assert (back.amount, back.unused_amount) == (Decimal("-80"), Decimal("-80"))


def test_plants_sold_within_the_days_bear_their_part():
    place = house()
    sold = lot_in(place, 50, "SOLD")
    lot_in(place, 50, "STAYS")
    sell_from(sold, 50, on=FIRST + timedelta(days=10))

    bill("41.00", place=place)

    entry = CostEntry.objects.get(lot=sold, category="heat")
    assert (entry.date, entry.amount) == (FIRST + timedelta(days=9), Decimal("10"))
    movement = sold.movements_out.get(kind="sold")
    assert movement.carried.cost_heat == Decimal("10")
    assert_conserved()


def test_plants_potted_up_take_their_part_along():
    place = house()
    tray = lot_in(place, 40, "T", size="tray")
    operations.pot_up(
        lot=tray,
        quantity=40,
        to_lot="P",
        container=container("#1"),
        on=FIRST + timedelta(days=1),
        request_id=uuid4(),
    )

    entered = bill("31.00", place=place, basis="plants")

    assert parts_of(entered) == {"T": Decimal("1"), "P": Decimal("30")}
    potted = tray.movements_out.get()
    assert potted.carried.cost_heat == Decimal("1")


def test_a_bill_can_be_shared_by_minutes():
    person = Person.objects.create(name="Wren", hourly_rate=Decimal(20))
    for code, minutes in (("A", 30), ("B", 90)):
        lot = lot_in(house(), 10, code)
        uses = [Work(person, Decimal(minutes))]
        operations.add_cost(lot=lot, uses=uses, on=FIRST, request_id=uuid4())

    assert parts_of(bill("8.00", basis="minutes")) == {"A": Decimal(2), "B": Decimal(6)}


def test_a_bill_pressed_twice_is_entered_once():
    lot_in(house(), 10, "A")
    request_id = uuid4()

    first = bill(request_id=request_id)
    again = bill(request_id=request_id)

    assert first == again
    assert (Bill.objects.count(), BillShare.objects.count()) == (1, 1)


def test_undoing_a_bill_restores_every_figure():
    place = house()
    early = lot_in(place, 30, "A")
    lot_in(place, 7, "B")
    sell_from(early, 30, on=FIRST + timedelta(days=3))
    before = kept_figures()
    entered = bill("99.99", place=place, unused="expense")
    assert kept_figures() != before

    back = operations.undo_bill(bill=entered, request_id=uuid4())

    after = kept_figures()
    assert (after["balances"], after["carried"]) == (before["balances"], before["carried"])
    assert back.reverses == entered
    assert Bill.objects.aggregate(a=Sum("amount"), u=Sum("unused_amount")) == {"a": 0, "u": 0}
    assert list(differences()) == []


def test_undoing_a_bill_pressed_twice_is_written_once():
    lot_in(house(), 10, "A")
    entered, request_id = bill(), uuid4()

    first = operations.undo_bill(bill=entered, request_id=request_id)

    assert operations.undo_bill(bill=entered, request_id=request_id) == first
    with pytest.raises(AlreadyUndone):
        operations.undo_bill(bill=entered, request_id=uuid4())
    with pytest.raises(CannotUndo):
        operations.undo_bill(bill=first, request_id=uuid4())


def test_a_part_of_a_bill_is_not_undone_alone():
    lot_in(house(), 10, "A")
    part = bill().shares.get().operation

    with pytest.raises(CannotUndo, match="Undo the bill"):
        operations.reverse(operation=part, request_id=uuid4())


TOMORROW = date.today() + timedelta(days=1)


@pytest.mark.parametrize(
    ("wrong", "words", "field"),
    [
        ({"amount": "0"}, "more than nothing", "amount"),
        ({"category": "gold"}, "no kind of cost", "category"),
        ({"last_day": FIRST - timedelta(days=1)}, "before the first", "last_day"),
        ({"last_day": TOMORROW}, "has not come yet", "last_day"),
        ({"basis": "minutes"}, "No minutes of work", "first_day"),
        ({"unused": "expense", "basis": "plants"}, "by area and days", "unused"),
        ({"unused": "expense"}, "How large", "unused"),
    ],
)
def test_a_bill_that_makes_no_sense_is_refused(wrong, words, field):
    lot_in(house(None), 10, "A")
    before = Operation.objects.count()

    with pytest.raises(LedgerError, match=words) as refusal:
        bill(**{"amount": "5.00", **wrong})

    assert refusal.value.field == field
    assert (Bill.objects.count(), Operation.objects.count()) == (0, before)


def test_a_bill_for_an_empty_place_says_who_could_bear_it():
    with pytest.raises(LedgerError, match="Choose other days or another place"):
        bill(place=house())


def test_days_that_reach_into_a_closed_period_are_refused():
    lot_in(house(), 10, "A")
    entered = bill()
    Closing.objects.create(kind="close", closed_to=FIRST, request_id=uuid4())

    with pytest.raises(PeriodClosed, match="first open day"):
        bill()
    with pytest.raises(PeriodClosed):
        operations.undo_bill(bill=entered, request_id=uuid4())


def test_lots_of_a_container_without_room_are_named_and_bear_nothing():
    place = house()
    spaced("#3", None, footprint=None)
    lot_in(place, 10, "ROOMLESS", size="#3")
    lot_in(place, 10, "A")

    sharing = share_out(Asked("heat", Decimal(10), FIRST, LAST, place))

    assert len(sharing.parts) == 1
    assert "#3" in sharing.remarks[0]


def test_more_plants_than_room_is_said():
    place = house("0.50")
    lot_in(place, 1_000, "A")

    sharing = share_out(Asked("heat", Decimal(10), FIRST, LAST, place))

    assert sharing.unused_weight == 0
    assert "more room than there is" in sharing.remarks[0]


def test_a_winter_of_the_demo_is_shared_and_taken_back():
    """Every lot that stood in the houses changes by its share, and by nothing once undone."""
    fill_with_the_demo()
    houses = Place.objects.get(name="Hoop houses")
    winter = {"first_day": date(2025, 12, 1), "last_day": date(2026, 2, 28)}
    there = occupancy(place=houses, **winter)
    before, figures = kept_figures(), conservation().total

    entered = bill("412.37", place=houses, **winter)

    parts = parts_of(entered)
    assert set(parts) == set(Lot.objects.filter(pk__in=there).values_list("code", flat=True))
    assert sum(parts.values()) == Decimal("412.37")
    assert conservation().total.incurred - figures.incurred == Decimal("412.37")
    assert conservation().total.difference == 0
    operations.undo_bill(bill=entered, request_id=uuid4())
    after = kept_figures()
    assert (after["balances"], after["carried"]) == (before["balances"], before["carried"])
    assert conservation().total == figures
