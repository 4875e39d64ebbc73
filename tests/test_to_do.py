"""What the ledger says needs doing, and when it stops saying so."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations
from inventory.models import Nursery
from inventory.queries import to_do as growing
from sales import operations as sales_operations
from sales.queries.to_do import overdue_invoices, price_troubles
from tests.factories import (
    BuyerFactory,
    PlaceFactory,
    cause,
    give_price,
    lot_holding,
    sell_from,
)

pytestmark = pytest.mark.django_db
STUCK = date(2025, 9, 1)


def tray(quantity=50, code="T1", on=STUCK, **more):
    return lot_holding(quantity, code, size="tray", on=on, **more)


def codes(lots):
    return [lot.code for lot in lots]


# Ten weeks to a rooted count: common practice for woody cuttings.
def test_a_rooted_count_is_due_after_ten_weeks():
    tray()

    day_before = STUCK + timedelta(days=69)
    assert codes(growing.uncounted_cuttings(day_before)) == []
    assert codes(growing.uncounted_cuttings(STUCK + timedelta(days=70))) == ["T1"]


def test_a_rooted_count_is_no_longer_due_once_it_was_made_and_due_again_when_undone():
    lot = tray()
    counted = operations.root_count(lot=lot, alive=40, on=date(2025, 11, 15), request_id=uuid4())
    assert codes(growing.uncounted_cuttings(date(2025, 12, 1))) == []
    assert codes(growing.rooted_trays()) == ["T1"]

    operations.reverse(operation=counted, request_id=uuid4())

    assert codes(growing.uncounted_cuttings(date(2025, 12, 1))) == ["T1"]
    assert codes(growing.rooted_trays()) == []


def test_liners_bought_in_need_no_rooted_count():
    tray(kind="receive")

    assert codes(growing.uncounted_cuttings(date(2026, 3, 1))) == []
    assert codes(growing.rooted_trays()) == ["T1"]


# Three weeks of bottom heat: common practice.
def test_a_tray_is_over_heated_by_the_time_at_its_last_place():
    lot, bench = tray(), PlaceFactory(heated=True)
    operations.move(lot=lot, place=bench, on=date(2025, 9, 10), request_id=uuid4())

    assert codes(growing.over_heated(date(2025, 9, 30))) == []
    assert codes(growing.over_heated(date(2025, 10, 1))) == ["T1"]

    cool = PlaceFactory(heated=False)
    operations.move(lot=lot, place=cool, on=date(2025, 10, 2), request_id=uuid4())
    assert codes(growing.over_heated(date(2025, 10, 20))) == []


@pytest.mark.parametrize(
    ("first", "last", "month", "is_season"),
    [
        (4, 9, 2, False),
        (4, 9, 3, True),
        (4, 9, 9, True),
        (4, 9, 10, False),
        (10, 3, 9, True),
        (10, 3, 1, True),
        (10, 3, 5, False),
        (1, 12, 6, True),
    ],
)
def test_potting_begins_a_month_before_the_season(first, last, month, is_season):
    nursery = Nursery(season_start_month=first, season_end_month=last)

    assert growing.is_potting_season(date(2026, month, 15), nursery) is is_season


def test_the_spring_walk_asks_for_the_lots_nobody_has_looked_at():
    house = PlaceFactory(name="North house")
    for code in ("A", "B", "C"):
        lot = lot_holding(20, code, on=date(2025, 6, 1))
        operations.move(lot=lot, place=house, on=date(2025, 6, 1), request_id=uuid4())
    nursery = Nursery()

    walk = growing.walk_due(date(2026, 4, 20), nursery)
    assert (walk.is_spring, walk.places) == (True, [(house, 3)])

    losses = [operations.Loss(lot, 2, cause("winter"))]
    operations.write_off(losses=losses, on=date(2026, 4, 21), request_id=uuid4())
    assert growing.walk_due(date(2026, 4, 22), nursery).places == [(house, 2)]


def test_no_walk_is_due_in_summer_or_for_plants_that_came_after_it_began():
    lot_holding(20, "A", on=date(2026, 4, 10))

    assert growing.walk_due(date(2026, 4, 20), Nursery()) is None
    assert growing.walk_due(date(2026, 8, 1), Nursery()) is None
    assert growing.walk_due(date(2026, 11, 1), Nursery()).is_spring is False


def test_the_walk_before_winter_runs_over_the_new_year():
    lot_holding(20, "A", on=date(2025, 6, 1))
    nursery = Nursery(season_start_month=5, season_end_month=10)

    walk = growing.walk_due(date(2026, 1, 10), nursery)

    assert (walk.is_spring, walk.since) == (False, date(2025, 11, 1))


def test_an_invoice_is_overdue_from_the_day_after_it_was_due_until_it_is_paid():
    document = sell_from(lot_holding(10), 2, buyer=BuyerFactory(terms_days=14))
    assert list(overdue_invoices(document.due_on)) == []
    late = document.due_on + timedelta(days=1)
    assert [row.owed for row in overdue_invoices(late)] == [document.total]

    sales_operations.pay(
        document=document,
        amount=document.total,
        method="cash",
        on=late,
        request_id=uuid4(),
    )

    assert list(overdue_invoices(late)) == []


def test_a_price_is_trouble_where_it_is_missing_or_below_cost():
    lot = lot_holding(10, medium="45.00")
    assert [row.is_missing for row in price_troubles()] == [True]

    for amount, troubles in (("4.49", [Decimal("4.50")]), ("4.50", [])):
        give_price(lot, amount, on=date(2025, 5, 1))
        assert [row.unit_cost for row in price_troubles()] == troubles
