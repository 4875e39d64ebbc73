"""Stock at the lower of cost and net realisable value, item by item (IAS 2 paragraph 29)."""

from decimal import Decimal

import pytest

from sales.queries.valuation import Item, total_of


def items(*rows) -> list[Item]:
    """Return items of (number, cost each, price each), with nothing to complete or to sell."""
    return [
        Item(None, None, number, Decimal(number) * Decimal(cost), Decimal(price))
        for number, cost, price in rows
    ]


# E1: Accounting Principles: A Business Perspective, exhibit 62: the totals were read (by way
# of a page that quotes it), the rows are from memory. By item 5,000: a write-down of 100.
EXHIBIT = ((100, 10, 9), (200, 8, "8.75"), (500, 5, 5))
# E3: Sandals Company, a tutoring page of low authority: inputs read, answer worked out.
SANDALS = ((50, 12, 14), (95, 44, 42), (31, 80, 75), (20, 24, 29))


def test_each_item_is_valued_by_itself():
    stock = items(*EXHIBIT)

    assert total_of(stock, "cost") == 5_100
    assert total_of(stock, "farm") == 5_150
    assert total_of(stock, "lower") == 5_000
    assert sum(item.write_down for item in stock) == 100


def test_the_total_basis_would_hide_the_loss():
    """IAS 2 does not let a gain on one item make up for a loss on another."""
    stock = items(*EXHIBIT)
    on_the_total = min(total_of(stock, "cost"), total_of(stock, "farm"))

    assert on_the_total == 5_100
    assert total_of(stock, "lower") < on_the_total


def test_four_items_of_which_two_are_written_down():
    stock = items(*SANDALS)

    assert total_of(stock, "cost") == 7_740
    assert total_of(stock, "farm") == 7_595
    assert total_of(stock, "lower") == 7_395
    assert [item.write_down for item in stock] == [0, 190, 155, 0]


@pytest.mark.parametrize(("price", "value"), [("6.50", 650), ("9.00", 800)])
def test_a_hundred_units_that_cost_eight(price, value):
    # E5: course notes of low authority, read.
    assert total_of(items((100, "8.00", price)), "lower") == value


def test_costs_to_sell_and_to_complete_come_off_the_price():
    """IAS 2 paragraph 6, worked by hand: 10.00 less 10 percent less 1.50 is 7.50 each."""
    item = Item(None, None, 4, Decimal(40), Decimal(10), Decimal(10), Decimal("1.50"))

    assert item.realisable == 30
    assert item.lower == 30
    # 26 CFR 1.471-6(d): the market price less the direct cost of disposition, and no more.
    assert item.farm_price == 36


def test_stock_is_never_worth_less_than_nothing():
    item = Item(None, None, 4, Decimal(8), Decimal(2), Decimal(0), Decimal(3))

    assert item.realisable == 0
    assert item.lower == 0


def test_without_a_price_cost_stands_and_there_is_no_farm_price():
    item = Item(None, None, 4, Decimal(8), None)

    assert item.lower == 8
    assert item.write_down == 0
    assert item.farm_price is None
    assert total_of([item], "farm") == 0
