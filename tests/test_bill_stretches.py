"""Plants bear a bill for the days they stood there: those that leave take their part along."""

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory import operations
from inventory.models import CostEntry, Movement, Operation, Person
from inventory.operations.spending import Work
from nursery.money import to_millionths
from tests.bill_scenes import FIRST, LAST, bill, house, lot_in, parts_by_day, parts_of
from tests.entering import kept_figures
from tests.factories import container, sell_from
from tests.ledger_figures import assert_the_books_are_right

pytestmark = pytest.mark.django_db


def day(number: int):
    """The so-manieth of March."""
    return FIRST + timedelta(days=number - 1)


def heat_of(lot, kind="sold") -> list[Decimal]:
    rows = lot.movements_out.filter(kind=kind).order_by("date", "pk")
    return list(rows.values_list("carried__cost_heat", flat=True))


def test_plants_sold_out_of_a_lot_that_still_stands_bear_their_days():
    """By hand: 100 plants for ten days and 50 for 21 are 2,050 plant-days."""
    lot = lot_in(house(), 100, "A")
    sell_from(lot, 50, on=day(11))

    entered = bill("20.50")

    assert parts_by_day(entered) == [("A", day(10), Decimal(10)), ("A", LAST, Decimal("10.50"))]
    assert heat_of(lot) == [5], "50 of 100 for ten days"
    assert lot.balance.cost_heat == Decimal("15.50")
    assert_the_books_are_right()


def test_plants_sold_before_the_bills_days_bear_nothing():
    lot = lot_in(house(), 10, "A")
    sell_from(lot, 4, on=FIRST)

    entered = bill("31.00")

    assert parts_by_day(entered) == [("A", LAST, Decimal(31))]
    assert heat_of(lot) == [0]


def test_plants_potted_up_out_of_a_standing_tray_take_their_part():
    tray = lot_in(house(), 40, "T", size="tray")
    facts = {"to_lot": "P", "container": container("#1"), "request_id": uuid4()}
    operations.pot_up(lot=tray, quantity=30, on=day(2), **facts)

    entered = bill("12.40", basis="plants")

    assert parts_of(entered) == {"T": Decimal("3.40"), "P": Decimal("9.00")}
    assert heat_of(tray, "moved") == [Decimal("0.30")], "30 of 40 for a day, at 0.01"


def test_sixty_sales_in_a_month_make_an_entry_a_day_at_most():
    lot = lot_in(house(), 100, "A")
    for number in range(60):
        sell_from(lot, 1, on=day(1 + number % 30))
    assert Operation.objects.filter(kind="sale").count() == 60

    entered = bill("99.99")

    entries = CostEntry.objects.filter(operation__bill_share__bill=entered)
    assert entries.count() == 30, "nothing was sold on the 31st, so two days are one"
    assert parts_of(entered) == {"A": Decimal("99.99")}
    sold = heat_of(lot)[::2]
    assert sold == sorted(sold), "who left later stood there longer"
    assert_the_books_are_right()


def test_work_is_borne_by_the_plants_that_were_there_that_day():
    lot = lot_in(house(), 10, "A")
    person = Person.objects.create(name="Wren", hourly_rate=Decimal(20))
    for on, minutes in ((day(2), 30), (day(20), 60)):
        uses = [Work(person, Decimal(minutes))]
        operations.add_cost(lot=lot, uses=uses, on=on, request_id=uuid4())
    sell_from(lot, 5, on=day(10))

    entered = bill("9.00", basis="minutes")

    assert parts_by_day(entered) == [("A", day(9), Decimal(3)), ("A", LAST, Decimal(6))]


def test_undoing_a_bill_of_many_parts_restores_every_figure():
    lot = lot_in(house(), 50, "A")
    for number in (3, 9, 17):
        sell_from(lot, 5, on=day(number))
    before = kept_figures()

    operations.undo_bill(bill=bill("77.77"), request_id=uuid4())

    after = kept_figures()
    assert (after["balances"], after["carried"]) == (before["balances"], before["carried"])
    assert_the_books_are_right()


SALES = st.lists(st.tuples(st.integers(1, 31), st.integers(1, 9)), max_size=8)


@settings(max_examples=25, deadline=None)
@given(sales=SALES, amount=st.integers(1, 10**10))
def test_each_plant_bears_its_days_whatever_was_sold_when(sales, amount):
    """Worked out plant by plant: so many days of so many in all."""
    with transaction.atomic():
        lot = lot_in(house(), 80, "A")
        for number, quantity in sorted(sales):
            sell_from(lot, quantity, on=day(number))
        left = 80 - sum(quantity for _, quantity in sales)
        plant_days = sum(q * (number - 1) for number, q in sales) + left * 31
        rate = Fraction(amount, plant_days)

        entered = bill(str(Decimal(amount) / 1_000_000))

        sold = Movement.objects.filter(kind="sold").order_by("date", "pk")
        for row in sold.select_related("carried"):
            due = rate * row.quantity * ((row.date - FIRST).days)
            # Each part and each share of a lot is rounded to a whole millionth.
            assert abs(to_millionths(row.carried.cost_heat) - due) <= 20
        assert sum(parts_of(entered).values()) == entered.amount
        transaction.set_rollback(True)
