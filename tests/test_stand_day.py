"""Days at a stand, with somebody there and with nobody."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.management import call_command

from inventory.errors import LedgerError, PeriodClosed
from inventory.models import LotBalance
from inventory.operations.closing import close_period
from sales import operations
from sales.models import BoxEntry, Document, Payment, StandDay, StandStep
from sales.operations.stand_closing import sold_at_closing
from sales.queries.availability import availability
from sales.queries.journal import journal
from tests.factories import (
    DAY,
    BuyerFactory,
    PlaceFactory,
    cause,
    give_price,
    lot_holding,
    sell_from,
)
from tests.stand_scenes import close, figures, give_out, sell_at, stand

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot():
    found = lot_holding(20)
    give_price(found, "12.00")
    return found


def undo(step, **more):
    return operations.undo_stand_step(step=step, request_id=uuid4(), **more)


def on_hand(lot):
    return LotBalance.objects.get(pk=lot.pk).on_hand


def free(lot):
    return sum(row.available for row in availability(plant=lot.plant.name))


def on_account(key):
    """Return what the journal has on an account, debits less credits."""
    lines = [line for entry in journal() for line in entry.lines() if line.account == key]
    return sum(line.debit - line.credit for line in lines)


def test_a_whole_day_with_somebody_there_comes_out_as_worked_by_hand(lot):
    # Float 40. Out 10, 2 more, 1 back: 11. Sold 3 in cash (36), 2 by card (24). 6 should be
    # be back and 4 are: 2 were stolen. In the box 40 + 36 − 8 = 68 should be, 67.50 are.
    day = stand("40.00", {lot: 10})
    operations.put_out(day=day, plants={lot: 2}, on=DAY, request_id=uuid4())
    operations.bring_back(day=day, plants={lot: 1}, on=DAY, request_id=uuid4())
    sell_at(day, lot, 3)
    sell_at(day, lot, 2, "card")
    give_out(day, "8.00")

    close(day, "67.50", [(lot, 4, cause("theft"))], card=Decimal("24.00"))

    row = figures(day)
    assert (row.out, row.sold, row.back, row.missing) == (12, 5, 5, 2)
    assert (row.cash_sales, row.card_sales, row.expected) == (36, 24, 68)
    assert (row.over_short, row.card_difference) == (Decimal("-0.50"), 0)
    assert on_hand(lot) == 20 - 5 - 2
    assert on_account("cash") == Decimal("27.50"), "67.50 less the float, which was cash before"
    call_command("verify")


def test_nobody_there_and_the_box_tells_what_was_not_paid(lot):
    # Out 10, 6 left: 4 gone at 12.00 are 48. Float 5 and 41 found: 46 of 53, 7 were not paid.
    day = stand("5.00", {lot: 10}, attended=False)

    step = close(day, "46.00", [(lot, 6)])

    row = figures(day)
    assert (row.sold, row.revenue, row.expected) == (4, 48, 53)
    assert (row.not_paid, row.missing) == (7, 0)
    assert sold_at_closing(step).total == 48
    assert (on_account("not_paid"), on_account("over_short")) == (7, 0)
    assert on_account("receivable") == 0
    call_command("verify")


def test_more_money_than_plants_gone_is_over(lot):
    day = stand("0", {lot: 10}, attended=False)

    close(day, "15.00", [(lot, 9)])

    assert figures(day).over_short == 3
    assert BoxEntry.objects.get().kind == "over_short"


def test_missing_plants_may_be_a_sale_nobody_noted(lot):
    day = stand("0", {lot: 5})
    sell_at(day, lot, 2)

    step = close(day, "36.00", [(lot, 2)])

    assert sold_at_closing(step).total == 12
    assert figures(day).over_short == 0


def test_plants_put_out_stay_in_their_lot_and_are_held_for_the_stand(lot):
    day = stand(plants={lot: 15})

    assert (on_hand(lot), free(lot)) == (20, 5)
    with pytest.raises(LedgerError, match=f"15 for the stand at {day.place}"):
        sell_from(lot, 6)
    sell_at(day, lot, 7)
    assert free(lot) == 5


def test_a_sale_at_the_stand_takes_what_is_out_before_older_plants(lot):
    newer = lot_holding(5, "L2", plant=lot.plant, on=DAY + timedelta(1))
    day = stand(plants={newer: 3}, on=DAY + timedelta(1))

    sell_at(day, lot, 2, on=DAY + timedelta(1))

    assert on_hand(newer) == 3


def test_plants_held_for_a_buyer_are_not_put_out(lot):
    wanted = [operations.Wanted(lot.plant, lot.container, 12)]
    operations.hold(buyer=BuyerFactory(), wanted=wanted, until=DAY, on=DAY, request_id=uuid4())

    with pytest.raises(LedgerError, match="Put out fewer"):
        stand(plants={lot: 9})
    assert not StandDay.objects.exists()


def test_one_stand_is_open_at_a_place(lot):
    day = stand()

    with pytest.raises(LedgerError, match="is open since"):
        stand(place=day.place)
    stand(place=PlaceFactory())
    close(day, "40.00")
    stand(place=day.place)


def test_nothing_more_is_sold_at_a_stand_that_closed(lot):
    day = stand()
    close(day, "40.00")

    with pytest.raises(LedgerError, match="is closed"):
        sell_at(day, lot, 1)
    with pytest.raises(LedgerError, match="is closed"):
        give_out(day, "5")


def test_every_plant_out_is_counted_and_no_more_come_back_than_went(lot):
    day = stand(plants={lot: 5})

    with pytest.raises(LedgerError, match="5 of lot L1 should still be out"):
        close(day, "40.00")
    with pytest.raises(LedgerError, match="5 of lot L1 should be out; 6 were counted"):
        close(day, "40.00", [(lot, 6)])
    with pytest.raises(LedgerError, match="6 cannot come back"):
        operations.bring_back(day=day, plants={lot: 6}, on=DAY, request_id=uuid4())


def test_the_same_press_twice_writes_once(lot):
    same = {"on": DAY, "request_id": uuid4()}
    day = stand(plants={lot: 5})
    for _ in range(2):
        operations.put_out(day=day, plants={lot: 1}, **same)
    closing = {"on": DAY, "request_id": uuid4()}
    for _ in range(2):
        close(day, "90.00", [(lot, 2)], **closing)

    assert StandStep.objects.count() == 3
    assert (figures(day).out, Document.objects.count()) == (6, 1)


def test_undoing_the_closing_gives_back_plants_sale_and_money(lot):
    day = stand("0", {lot: 10})
    step = close(day, "20.00", [(lot, 6)])
    other = lot_holding(4, "L9")
    assert free(lot) == 16

    undo(step)

    row = figures(day)
    assert (row.day.is_open, row.sold, row.expected, row.counted) == (True, 0, 0, None)
    assert (on_hand(lot), free(lot)) == (20, 10)
    assert on_account("cash") == on_account("over_short") == 0
    close(day, "0", [(lot, 9, cause("theft"))])
    assert on_hand(lot) == 19 and on_hand(other) == 4
    call_command("verify")


def test_steps_are_undone_and_only_while_the_stand_is_open(lot):
    day = stand("10.00", {lot: 4})
    out = give_out(day, "3.00")
    with pytest.raises(LedgerError, match="Undo those first"):
        undo(day.steps.first())

    undo(out)
    assert figures(day).expected == 10
    with pytest.raises(LedgerError, match="undone already"):
        undo(out)
    undo(day.steps.first())
    assert (StandDay.objects.get().state, free(lot)) == ("undone", 20)


def test_a_sale_counted_with_the_box_is_undone_after_the_closing(lot):
    day = stand()
    document = sell_at(day, lot, 1)
    step = close(day, "52.00")

    with pytest.raises(LedgerError, match="Undo the closing"):
        operations.undo_sale(document=document, request_id=uuid4())
    with pytest.raises(LedgerError, match="Undo the closing"):
        operations.undo_payment(payment=Payment.objects.get(), request_id=uuid4())
    undo(step)
    operations.undo_sale(document=document, request_id=uuid4())
    assert figures(day).expected == 40


def test_a_sale_on_an_invoice_brings_the_box_nothing(lot):
    day = stand()
    document = sell_at(day, lot, 2, "", buyer=BuyerFactory())
    operations.pay(document=document, amount=Decimal(24), method="cash", on=DAY, request_id=uuid4())

    assert (figures(day).expected, figures(day).other_sales) == (40, 24)


def test_a_closed_period_refuses_each_step(lot):
    day = stand(plants={lot: 5})
    close_period(last_day=DAY, request_id=uuid4())

    with pytest.raises(PeriodClosed):
        stand()
    with pytest.raises(PeriodClosed):
        operations.put_out(day=day, plants={lot: 1}, on=DAY, request_id=uuid4())
    with pytest.raises(PeriodClosed):
        give_out(day, "1")
    with pytest.raises(PeriodClosed):
        close(day, "40.00", [(lot, 5)])
    with pytest.raises(PeriodClosed):
        undo(day.steps.first())
