"""Plants kept for a buyer: they are free for nobody else, until a day, and become a sale."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations as growing
from inventory.models import LotBalance
from sales.errors import SaleRefused
from sales.models import Document, Hold, HoldChange
from sales.operations import (
    Item,
    Wanted,
    change_hold,
    hold,
    let_go_of_hold,
    sell,
    sell_held,
    undo_hold_change,
    undo_sale,
)
from sales.queries.availability import availability
from tests.factories import BuyerFactory, cause, lot_holding, sell_from
from tests.ledger_figures import assert_the_books_are_right

pytestmark = pytest.mark.django_db

TODAY = date.today()
MARCH = TODAY + timedelta(days=100)


def held(like, quantity, *, until=MARCH, on=TODAY, **more):
    """Hold plants of a lot's kind for a new buyer."""
    wanted = Wanted(like.plant, like.container, quantity, **more)
    return hold(buyer=BuyerFactory(), wanted=[wanted], until=until, on=on, request_id=uuid4())


def free(plant) -> int:
    return sum(row.available for row in availability() if row.plant == plant and not row.ready_on)


def hand_over(made, number, **more) -> Document:
    numbers = {made.lines.get(): number}
    return sell_held(hold=made, numbers=numbers, on=TODAY, request_id=uuid4(), **more)


def test_held_plants_are_not_free():
    lot = lot_holding(20)

    held(lot, 12)

    assert free(lot.plant) == 8


def test_held_plants_are_not_sold_to_another_and_the_refusal_says_for_whom():
    lot = lot_holding(20)
    made = held(lot, 12)
    item = Item(lot.plant, lot.container, 9, unit_price=Decimal(5))

    with pytest.raises(
        SaleRefused, match=r"8 of .* free; 9 cannot be sold. 12 are held"
    ) as refusal:
        sell(items=[item], on=TODAY, request_id=uuid4())

    assert f"12 for {made.buyer} until {MARCH.day} {MARCH:%B %Y}" in str(refusal.value)
    assert not Document.objects.exists()


def test_a_lot_asked_for_at_the_stand_keeps_what_is_held_of_it():
    lot = lot_holding(20)
    held(lot, 12)

    with pytest.raises(SaleRefused, match="12 are held"):
        sell_from(lot, 9, on=TODAY)

    assert sell_from(lot, 8, on=TODAY)


def test_a_hold_of_any_lot_gives_way_to_another_lot():
    one = lot_holding(10, "A")
    other = lot_holding(10, "B", plant=one.plant)
    held(one, 10)

    assert sell_from(one, 10, on=TODAY), "the ten of B serve the hold"

    assert free(one.plant) == 0
    with pytest.raises(SaleRefused, match="10 are held"):
        sell_from(other, 1, on=TODAY)


def test_its_last_day_frees_the_plants_by_itself():
    lot = lot_holding(20)
    ended = TODAY - timedelta(days=1)
    held(lot, 12, until=ended, on=ended - timedelta(days=5))

    assert free(lot.plant) == 20
    assert sell_from(lot, 20, on=TODAY)


def test_more_than_is_free_cannot_be_held():
    lot = lot_holding(20)
    held(lot, 12)

    with pytest.raises(SaleRefused, match=r"8 of .* are free now; 9 cannot be promised. 12"):
        held(lot, 9)

    assert Hold.objects.count() == 1, "no empty hold may be left behind"


def test_the_same_request_makes_one_hold():
    lot, request = lot_holding(20), uuid4()
    wanted = [Wanted(lot.plant, lot.container, 5)]
    facts = {"buyer": BuyerFactory(), "wanted": wanted, "until": MARCH, "on": TODAY}

    first, second = (hold(request_id=request, **facts) for _ in range(2))

    assert first == second
    assert free(lot.plant) == 15


def test_a_hold_becomes_a_sale_and_the_rest_stays_held():
    lot = lot_holding(20, plants="40.00")
    made = held(lot, 12, unit_price=Decimal("7.50"))

    document = hand_over(made, 5)

    assert (document.buyer, document.net) == (made.buyer, Decimal("37.50"))
    line = made.lines.with_taken().get()
    assert (line.taken, line.open) == (5, 7)
    assert free(lot.plant) == 8
    assert_the_books_are_right()


def test_undoing_the_sale_gives_the_hold_back():
    lot = lot_holding(20)
    made = held(lot, 12, unit_price=Decimal(5))
    document = hand_over(made, 12)

    undo_sale(document=document, request_id=uuid4())

    assert made.lines.with_taken().get().open == 12
    assert free(lot.plant) == 8


def test_no_more_is_handed_over_than_is_held():
    made = held(lot_holding(20), 12, unit_price=Decimal(5))

    with pytest.raises(SaleRefused, match=r"12 of .* are still held; 13 cannot"):
        hand_over(made, 13)


def test_handing_over_twice_by_one_request_sells_once():
    made, request = held(lot_holding(20), 12, unit_price=Decimal(5)), uuid4()
    facts = {"hold": made, "numbers": {made.lines.get(): 12}, "on": TODAY}

    first, second = (sell_held(request_id=request, **facts) for _ in range(2))

    assert first == second
    assert LotBalance.objects.get().on_hand == 8


def test_a_hold_is_kept_longer_and_undone():
    made = held(lot_holding(20), 12)
    later = MARCH + timedelta(days=14)

    change = change_hold(hold=made, until=later, on=TODAY, request_id=uuid4())
    assert Hold.objects.get().until == later

    undo_hold_change(change=change, on=TODAY, request_id=uuid4())
    assert Hold.objects.get().until == MARCH


def test_an_expired_hold_is_kept_longer_only_while_its_plants_are_free():
    lot = lot_holding(20)
    ended = TODAY - timedelta(days=1)
    made = held(lot, 12, until=ended, on=ended)
    sell_from(lot, 15, on=TODAY)

    with pytest.raises(SaleRefused, match=r"5 of .* are free now; 12 cannot be promised"):
        change_hold(hold=made, until=MARCH, on=TODAY, request_id=uuid4())

    assert Hold.objects.get().until == ended


def test_plants_are_let_go_and_the_letting_go_undone():
    lot = lot_holding(20)
    made = held(lot, 12, unit_price=Decimal(5))
    hand_over(made, 4)

    change = let_go_of_hold(hold=made, on=TODAY, request_id=uuid4())
    assert free(lot.plant) == 16

    undo_hold_change(change=change, on=TODAY, request_id=uuid4())
    assert free(lot.plant) == 8
    assert made.lines.with_taken().get().open == 8


def test_letting_go_is_not_undone_once_the_plants_are_sold():
    lot = lot_holding(20)
    change = let_go_of_hold(hold=held(lot, 12), on=TODAY, request_id=uuid4())
    sell_from(lot, 15, on=TODAY)

    with pytest.raises(SaleRefused, match=r"5 of .* are free now"):
        undo_hold_change(change=change, on=TODAY, request_id=uuid4())


def test_numbers_never_fall_below_what_was_handed_over():
    made = held(lot_holding(20), 12, unit_price=Decimal(5))
    hand_over(made, 4)

    with pytest.raises(SaleRefused, match=r"4 of .* were handed over already"):
        change_hold(hold=made, numbers={made.lines.get(): 3}, on=TODAY, request_id=uuid4())


def test_a_new_hold_is_undone_while_nothing_was_handed_over():
    lot = lot_holding(20)
    made = held(lot, 12, unit_price=Decimal(5))
    document = hand_over(made, 4)
    undo = {"change": HoldChange.objects.get(), "on": TODAY}

    with pytest.raises(SaleRefused, match=r"4 of .* were handed over already"):
        undo_hold_change(request_id=uuid4(), **undo)

    undo_sale(document=document, request_id=uuid4())
    undo_hold_change(request_id=uuid4(), **undo)
    assert free(lot.plant) == 20
    with pytest.raises(SaleRefused, match="undone already"):
        undo_hold_change(request_id=uuid4(), **undo)


def test_an_older_change_waits_for_the_undoing_of_the_later():
    made = held(lot_holding(20), 12)
    first = change_hold(hold=made, until=MARCH + timedelta(5), on=TODAY, request_id=uuid4())
    change_hold(hold=made, until=MARCH + timedelta(9), on=TODAY, request_id=uuid4())

    with pytest.raises(SaleRefused, match="changed again since"):
        undo_hold_change(change=first, on=TODAY, request_id=uuid4())


def test_a_loss_is_written_down_whatever_is_held():
    lot = lot_holding(20)
    made = held(lot, 12, unit_price=Decimal(5))

    loss = growing.Loss(lot, 15, cause("winter"), "normal")
    growing.write_off(losses=[loss], on=TODAY, request_id=uuid4())

    assert free(lot.plant) == 0
    assert hand_over(made, 5).net == 25, "what lived"


def test_what_is_held_of_one_lot_stays_in_that_lot():
    one = lot_holding(10, "A")
    lot_holding(10, "B", plant=one.plant)
    held(one, 6, lot=one)

    with pytest.raises(SaleRefused, match="6 are held"):
        sell_from(one, 5, on=TODAY)

    assert free(one.plant) == 14
