"""The browser works out what the ledger books: the same cases, by Python and by Chromium.

The rule and its sources stand in sales/tax.py and nursery/cash.py.
"""

from decimal import Decimal
from itertools import product
from pathlib import Path
from random import Random

import pytest

from inventory.models import Nursery
from nursery.cash import in_cash
from sales.queries.stand import round_amounts_over
from sales.tax import Piece, taxes_on

SUMS = Path(__file__).parents[2] / "nursery" / "static" / "js" / "stand-sums.js"
PERCENTS = ["0", "4.5", "5", "6", "6.25", "7", "8.875", "9.5", "13", "19", "20", "25.5", "0.1234"]
CASES = 3000


@pytest.fixture(scope="module")
def sums(chromium):
    """Open an empty page with the sums of the stand."""
    page = chromium.new_page()
    page.add_script_tag(content=SUMS.read_text("utf-8") + "; window.standSums = standSums")
    yield page
    page.close()


def cases():
    """Yield (pieces in minor units, digits, basis, included), the same ones each time."""
    chance = Random(20261125)
    for digits, basis, included in product((0, 2, 3), ("invoice", "item"), (False, True)):
        for _ in range(CASES // 12):
            pieces = [
                (chance.randint(1, 60), chance.randint(0, 9999), "S", chance.choice(PERCENTS))
                for _ in range(chance.randint(1, 6))
            ]
            pieces += [(2, chance.randint(1, 999), "Z", "0")] * chance.randint(0, 1)
            yield pieces, digits, basis, included
    # A half cent goes up: 5 percent of 0.70 is 0.035, and 0.735 of 14.70.
    yield [(1, 70, "S", "5")], 2, "invoice", False
    yield [(21, 70, "S", "5")], 2, "item", False


def by_python(pieces, digits, basis, included):
    unit = Decimal(1).scaleb(-digits)
    read = [Piece(n, price * unit, c, Decimal(percent)) for n, price, c, percent in pieces]
    sums, _ = taxes_on(read, digits, basis, included)
    return [[int(one.base / unit), int(one.amount / unit)] for one in sums]


def test_taxes_are_those_the_ledger_books(sums):
    table = list(cases())
    asked = [
        [
            [
                {"quantity": n, "price": price, "category": c, "percent": int(Decimal(p) * 10_000)}
                for n, price, c, p in pieces
            ],
            basis,
            included,
        ]
        for pieces, _, basis, included in table
    ]

    found = sums.evaluate(
        "table => table.map(([pieces, basis, included]) =>"
        " standSums.taxesOn(pieces, basis, included).map(one => [one.base, one.amount]))",
        asked,
    )

    assert len(found) >= CASES
    assert found == [by_python(*case) for case in table]


def test_cash_is_rounded_as_the_ledger_rounds_it(sums):
    table = [(total, step) for total in range(700) for step in (0, 1, 5, 10, 50, 100, 500)]

    found = sums.evaluate("table => table.map(row => standSums.inCash(...row))", table)

    assert found == [int(in_cash(Decimal(total), Decimal(step))) for total, step in table]


def test_change_is_given_from_the_same_round_amounts(sums):
    table = [(total, digits) for total in range(0, 30_000, 37) for digits in (0, 2, 3)]

    found = sums.evaluate("table => table.map(row => standSums.roundAmountsOver(...row))", table)

    expected = [
        [
            int(one.scaleb(digits))
            for one in round_amounts_over(Decimal(total).scaleb(-digits), digits)
        ]
        for total, digits in table
    ]
    assert found == expected


def test_an_amount_is_read_as_it_is_typed(sums):
    texts = ["", "12", "12.5", "12.50", "$ 12.50", ".5", "12,5", "1.005", "twelve", ".", "7."]

    found = sums.evaluate("texts => texts.map(text => standSums.readAmount(text, 2))", texts)

    no_amount = pytest.approx(float("nan"), nan_ok=True)
    assert found == [
        *(None, 1200, 1250, 1250, 1250, 50),
        *(no_amount, no_amount, no_amount, no_amount, 700),
    ]


@pytest.mark.django_db
def test_the_price_is_the_one_the_ledger_quotes(sums):
    """Lists, grades and numbers in every combination, with what is missing filled by the stand."""
    from sales.queries.prices import PriceBook
    from tests.factories import NurseryFactory, give_price, lot_holding

    NurseryFactory(counted_for_price=Nursery.Counted.LINE)
    lot = lot_holding(5)
    for amount, more in (
        ("10.00", {}),
        ("9.00", {"least": 10}),
        ("12.00", {"grade": "A"}),
        ("8.00", {"list": "landscaper"}),
        ("7.00", {"list": "landscaper", "least": 25}),
    ):
        give_price(lot, amount, **more)
    book = PriceBook()
    prices: dict = {}
    for (name, _, _, grade), breaks in book.prices.items():
        rows = sorted([least, int(row.amount * 100)] for least, row in breaks.items())
        prices.setdefault(name, {})[grade] = rows
    table = list(product(("", "A", "B"), (1, 9, 10, 25, 99), ("stand", "landscaper", "wholesale")))

    found = sums.evaluate(
        "([prices, table]) => table.map(row => standSums.quote(prices, ...row))", [prices, table]
    )

    for (grade, number, name), one in zip(table, found, strict=True):
        quote = book.quote(lot.plant_id, lot.container_id, grade=grade, number=number, on_list=name)
        assert (one["amount"], one["reason"]) == (int(quote.amount * 100), quote.reason)
