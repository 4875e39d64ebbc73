"""Two people at once at the last plants: one has them, the other is told who holds them."""

from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.models import LotBalance
from sales.errors import SaleRefused
from sales.models import Document, Hold
from sales.operations import Item, Wanted, hold, sell, sell_held
from tests.factories import BuyerFactory, lot_holding
from tests.ledger_figures import assert_the_books_are_right
from tests.test_concurrency import at_once
from tests.test_hold import MARCH, TODAY, free, held

pytestmark = pytest.mark.django_db(transaction=True)

TIMES = 8


def hold_of(lot, quantity, request=None):
    wanted, buyer = [Wanted(lot.plant, lot.container, quantity)], BuyerFactory()
    facts = {"buyer": buyer, "wanted": wanted, "until": MARCH, "on": TODAY}
    return lambda: hold(request_id=request or uuid4(), **facts)


def sale_of(lot, quantity):
    item = Item(lot.plant, lot.container, quantity, unit_price=Decimal(4))
    return lambda: sell(items=[item], on=TODAY, request_id=uuid4())


def test_the_last_plants_are_held_once():
    for number in range(TIMES):
        lot = lot_holding(10, f"L{number}")

        results = at_once(hold_of(lot, 7), hold_of(lot, 7))

        assert sorted(map(type, results), key=str) == [SaleRefused, Hold], results
        refusal = next(str(one) for one in results if isinstance(one, SaleRefused))
        assert "are free now; 7 cannot be promised. 7 are held: 7 for" in refusal
        assert free(lot.plant) == 3


def test_the_last_plants_are_sold_or_held_and_never_both():
    for number in range(TIMES):
        lot = lot_holding(10, f"L{number}")

        results = at_once(hold_of(lot, 7), sale_of(lot, 7))

        assert sum(isinstance(one, SaleRefused) for one in results) == 1, results
        assert free(lot.plant) == 3
    assert_the_books_are_right()


def test_one_press_twice_at_once_makes_one_hold():
    lot, request = lot_holding(10), uuid4()
    act = hold_of(lot, 4, request)

    first, second = at_once(act, act)

    assert first == second
    assert (Hold.objects.count(), free(lot.plant)) == (1, 6)


def test_a_hold_is_handed_over_once_by_two_at_once():
    made = held(lot_holding(10), 7, unit_price=Decimal(4))
    numbers = {made.lines.get(): 7}

    def act():
        return sell_held(hold=made, numbers=numbers, on=TODAY, request_id=uuid4())

    results = at_once(act, act)

    assert sorted(map(type, results), key=str) == [SaleRefused, Document], results
    assert LotBalance.objects.get().on_hand == 3
