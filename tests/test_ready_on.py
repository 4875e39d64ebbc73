"""Lots that are not ready yet: not free now, promised ahead after what will be lost."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations as growing
from inventory.errors import LedgerError
from inventory.models import Lot
from inventory.operations.catalogue import expect_loss
from inventory.operations.ready import set_ready_on
from sales.errors import SaleRefused
from sales.operations import Item, sell
from sales.queries.availability import availability
from sales.queries.promises import promised
from tests.factories import cause, container, lot_holding, sell_from
from tests.test_hold import MARCH, TODAY, free, held

pytestmark = pytest.mark.django_db

MAY = TODAY + timedelta(days=160)


def growing_lot(quantity, code="G", ready_on=MAY, **more):
    return set_ready_on(lot=lot_holding(quantity, code, **more), ready_on=ready_on)


def coming(plant):
    return [(row.available, row.ready_on) for row in availability() if row.plant == plant]


def test_a_lot_that_is_not_ready_is_listed_with_its_day_and_not_free():
    lot = growing_lot(40)

    assert coming(lot.plant) == [(40, MAY)]
    assert free(lot.plant) == 0
    with pytest.raises(SaleRefused, match=r"0 of .* are free"):
        item = Item(lot.plant, lot.container, 1, unit_price=Decimal(5))
        sell(items=[item], on=TODAY, request_id=uuid4())


def test_its_day_makes_it_free_by_itself():
    lot = growing_lot(40)

    rows = availability(on=MAY)

    assert [(row.available, row.ready_on) for row in rows] == [(40, None)]
    assert free(lot.plant) == 0


def test_a_lot_is_not_ready_before_it_began():
    lot = lot_holding(5)

    with pytest.raises(LedgerError, match="cannot be ready before"):
        set_ready_on(lot=lot, ready_on=lot.began_on - timedelta(1))


def test_plants_potted_up_take_their_day_along():
    tray = growing_lot(40, size="tray")

    growing.pot_up(
        lot=tray,
        quantity=30,
        to_lot="P",
        container=container("#1"),
        on=TODAY,
        request_id=uuid4(),
    )

    assert Lot.objects.get(code="P").ready_on == MAY


def test_what_is_growing_is_ordered_ahead_and_leaves_todays_plants_free():
    ready = lot_holding(10, "R")
    growing_lot(40, plant=ready.plant)

    held(ready, 40, ahead=True, until=MAY)

    assert free(ready.plant) == 10
    assert coming(ready.plant) == [(10, None)]


def test_plants_that_still_grow_are_not_held_unless_asked_for():
    lot = growing_lot(40)

    with pytest.raises(SaleRefused, match=r"0 of .* free now and about 40 more are growing"):
        held(lot, 12, until=MAY)


def test_an_order_ahead_for_a_day_before_they_are_ready_is_refused():
    lot = growing_lot(40)

    with pytest.raises(SaleRefused, match="for a later day"):
        held(lot, 12, ahead=True, until=MARCH)


def test_trays_can_be_promised_as_far_as_they_are_expected_to_live():
    # 100 stuck: 70 root, 63 of these live in the tray, 59 in the pot (rounded down).
    for stage, percent in (("rooting", 30), ("liner", 10), ("growing", 5)):
        expect_loss(stage=stage, percent=Decimal(percent))
    tray = lot_holding(100, "T", size="tray")
    pot = lot_holding(1, "P", plant=tray.plant)
    sell_from(pot, 1)

    with pytest.raises(SaleRefused, match="about 59 more are growing"):
        held(pot, 60, until=MAY)

    held(pot, 59, ahead=True, until=MAY)


def test_losses_that_eat_a_promise_leave_it_short():
    lot = growing_lot(40)
    made = held(lot, 30, ahead=True, until=MAY)

    loss = growing.Loss(lot, 18, cause("winter"), "normal")
    growing.write_off(losses=[loss], on=TODAY, request_id=uuid4())

    assert promised().allocation.short == {made.lines.get().pk: 8}


def test_an_order_ahead_falls_back_on_ready_plants_where_too_few_grow():
    ready = lot_holding(10, "R")
    lot = growing_lot(40, plant=ready.plant)
    held(lot, 40, ahead=True, until=MAY)

    loss = growing.Loss(lot, 6, cause("winter"), "normal")
    growing.write_off(losses=[loss], on=TODAY, request_id=uuid4())

    assert free(ready.plant) == 4


def test_an_order_ahead_holds_the_plants_once_they_are_ready():
    lot = growing_lot(40)
    held(lot, 30, ahead=True, until=MAY)

    set_ready_on(lot=lot, ready_on=None)

    assert free(lot.plant) == 10
    with pytest.raises(SaleRefused, match="30 are held"):
        sell_from(lot, 11, on=date.today())
