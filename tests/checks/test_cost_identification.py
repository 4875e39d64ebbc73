"""Check which lot's cost a sale bears.

A20: OpenStax, Principles of Financial Accounting, sections 10.1-10.3 (m67889-m67891), read.
Opening 150 at 21; 120 sold at 36; 225 bought at 27; 180 sold at 39; 210 bought at 33;
585 units for 16,155 available, 285 on hand at the end, sales 11,340. Each purchase is a lot.
"""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.models import Lot, LotBalance
from sales.operations import Item, sell
from tests.factories import DAY, PlantFactory, lot_holding, sell_from
from tests.ledger_figures import assert_the_books_are_right, report

pytestmark = pytest.mark.django_db

SALES = Decimal(11_340)


@pytest.fixture
def plant():
    return PlantFactory()


def buy(number, quantity, price, plant):
    on = DAY + timedelta(number)
    facts = {"kind": "receive", "plant": plant, "on": on}
    return lot_holding(quantity, f"P{number}", **facts, plants=str(quantity * price))


def sell_any(plant, quantity, price, on):
    item = Item(plant, Lot.objects.first().container, quantity, unit_price=Decimal(price))
    return sell(items=[item], on=DAY + timedelta(on), request_id=uuid4())


def closing() -> Decimal:
    return sum(balance.cost for balance in LotBalance.objects.all())


def margin() -> dict:
    (row,) = report("margin", by="plant")
    return {name: Decimal(row[name]) for name in ("revenue", "cost_of_sales", "margin")}


def test_a20_specific_identification_sells_from_the_lots_that_are_named(plant):
    first = buy(1, 150, 21, plant)
    sell_from(first, 120, "36.00", on=DAY + timedelta(2))
    second = buy(3, 225, 27, plant)
    sell_from(first, 20, "39.00", on=DAY + timedelta(4))
    sell_from(second, 160, "39.00", on=DAY + timedelta(4))
    buy(5, 210, 33, plant)

    assert margin() == {"revenue": SALES, "cost_of_sales": 7_260, "margin": 4_080}
    assert closing() == 8_895
    assert_the_books_are_right()


def test_a20_the_oldest_lots_first_are_fifo(plant):
    """The carried layer is 30 x 21 = 630 and closing 8,955; the chart's alternative text
    prints 360 and 8,895, slips of that page."""
    buy(1, 150, 21, plant)
    sell_any(plant, 120, "36.00", 2)
    buy(3, 225, 27, plant)
    document = sell_any(plant, 180, "39.00", 4)
    buy(5, 210, 33, plant)

    taken = [
        (take.movement.from_lot.code, take.movement.quantity, take.movement.carried.cost)
        for take in document.lines.get().takes.order_by("pk")
    ]
    assert taken == [("P1", 30, Decimal(630)), ("P3", 150, Decimal(4_050))]
    assert margin() == {"revenue": SALES, "cost_of_sales": 7_200, "margin": 4_140}
    assert closing() == 8_955
    assert_the_books_are_right()


def test_a20_plants_of_one_lot_bear_its_moving_average(plant):
    """Perpetual weighted average, read: 26.294118 after the first purchase and 31.235294
    after the second. Here all purchases join one lot."""
    lot = lot_holding(150, plant=plant, kind="receive", plants="3150.00")
    unit_costs = []
    for sold, price, bought, cost in ((120, "36.00", 225, 6_075), (180, "39.00", 210, 6_930)):
        sell_from(lot, sold, price)
        lot_holding(bought, plant=plant, kind="receive", batch=f"B{bought}", plants=f"{cost}.00")
        unit_costs.append(report("lots")[0]["unit_cost"])

    assert unit_costs == ["26.294118", "31.235294"]
    assert_the_books_are_right()
