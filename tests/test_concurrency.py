"""Two people at once: each plant is sold once, and each press of a button counts once."""

import threading
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import close_old_connections, connection

from inventory import operations
from inventory.errors import NotEnoughPlants
from inventory.models import Lot, LotBalance, Operation
from sales.errors import SaleRefused
from sales.models import Document
from sales.operations import Item, sell
from tests.factories import DAY, cause, lot_holding, sell_from
from tests.ledger_figures import assert_the_books_are_right

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(*acts) -> list:
    """Run each act in a thread and connection of its own; return results or refusals."""
    start, results = threading.Barrier(len(acts)), [None] * len(acts)

    def run(number, act):
        close_old_connections()
        try:
            start.wait(timeout=20)
            results[number] = act()
        except Exception as error:
            results[number] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(number, act)) for number, act in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    return results


def test_the_last_plants_are_sold_once():
    lot = lot_holding(10, plants="30.00")

    results = at_once(*[lambda: sell_from(lot, 7)] * 2)

    refused = [result for result in results if isinstance(result, NotEnoughPlants)]
    sold = [result for result in results if isinstance(result, Document)]
    assert (len(sold), len(refused)) == (1, 1), results
    assert "held 3" in str(refused[0])
    assert LotBalance.objects.get(lot=lot).on_hand == 3
    assert_the_books_are_right()


def test_many_stands_sell_no_more_than_there_is():
    lot = lot_holding(10, plants="10.00")
    item = Item(lot.plant, lot.container, 3, unit_price=Decimal("4.00"))

    results = at_once(*[lambda: sell(items=[item], on=DAY, request_id=uuid4(), paid_by="cash")] * 6)

    kinds = [type(result) for result in results]
    assert kinds.count(Document) == 3
    assert kinds.count(SaleRefused) + kinds.count(NotEnoughPlants) == 3, results
    numbers = sorted(Document.objects.values_list("serial", flat=True))
    assert numbers == [1, 2, 3], "no number is skipped or used twice"
    assert_the_books_are_right()


def test_one_request_pressed_twice_at_once_is_written_once():
    lot, request = lot_holding(10), uuid4()
    item = Item(lot.plant, lot.container, 4, lot=lot, unit_price=Decimal("4.00"))

    first, second = at_once(*[lambda: sell(items=[item], on=DAY, request_id=request)] * 2)

    assert isinstance(first, Document), first
    assert first == second
    assert LotBalance.objects.get(lot=lot).on_hand == 6


def test_a_sale_and_a_backdated_loss_at_once_leave_the_books_right():
    lot = lot_holding(40, medium="80.00")
    sell_from(lot, 5, on=DAY + timedelta(9))
    loss = operations.Loss(lot, 8, cause("winter"), "normal")

    results = at_once(
        lambda: sell_from(lot, 6, on=DAY + timedelta(10)),
        lambda: operations.write_off(losses=[loss], on=DAY + timedelta(1), request_id=uuid4()),
        lambda: operations.add_cost(
            lot=lot, costs={"feed": Decimal("3.00")}, on=DAY, request_id=uuid4()
        ),
    )

    assert not [result for result in results if isinstance(result, Exception)], results
    assert_the_books_are_right()


def test_an_entry_is_undone_once_by_two_at_once():
    lot_holding(10)
    operation = Operation.objects.get()

    results = at_once(*[lambda: operations.reverse(operation=operation, request_id=uuid4())] * 2)

    assert sum(isinstance(result, Operation) for result in results) == 1, results
    assert Operation.objects.filter(kind="undo").count() == 1
    assert LotBalance.objects.get(lot=Lot.objects.get()).on_hand == 0
