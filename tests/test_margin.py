"""The margin by sale, and by the way plants were sold.

Every plant costs 4.00 in these scenes, so that a margin is told in the head: common practice.
"""

from datetime import date
from uuid import uuid4

import pytest

from sales.models import Buyer
from sales.operations import take_back, undo_sale
from sales.queries.margin import CHANNELS, margin_by
from tests.factories import BuyerFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db
MAY_DAY, JUNE_DAY = date(2025, 5, 1), date(2025, 6, 1)


@pytest.fixture
def lot():
    return lot_holding(100, medium="400.00")


def margins(by, **days):
    return {row.key: (row.sold, row.revenue, row.margin) for row in margin_by(by, **days)}


def test_each_sale_has_its_own_margin_of_all_its_plants(lot):
    first, second = sell_from(lot, 3, "10.00"), sell_from(lot, 2, "5.00", on=MAY_DAY)

    assert margins("sale") == {first.number: (3, 30, 18), second.number: (2, 10, 2)}


def test_what_came_back_counts_in_the_sale_it_was_of(lot):
    sale = sell_from(lot, 3, "10.00")
    back = {"plants": [(lot, 1)], "restock": True, "request_id": uuid4()}
    take_back(document=sale, on=JUNE_DAY, **back)

    assert margins("sale") == {sale.number: (2, 20, 12)}
    assert margins("sale", since=JUNE_DAY) == {sale.number: (-1, -10, -6)}


def test_a_sale_undone_left_nothing(lot):
    sale = sell_from(lot, 3)
    undo_sale(document=sale, request_id=uuid4())

    assert margins("sale") == margins("channel") == {}


def test_a_way_of_selling_is_told_by_the_kind_of_the_buyer(lot):
    sell_from(lot, 1, "5.00")
    for quantity, kind in enumerate(Buyer.Kind, 2):
        sell_from(lot, quantity, "10.00", buyer=BuyerFactory(kind=kind))

    assert margins("channel") == {
        "at the stand": (1, 5, 1),
        "to landscapers": (2, 20, 12),
        "to gardeners": (3, 30, 18),
        "to the trade": (4, 40, 24),
        "to other buyers": (5, 50, 30),
    }


def test_what_a_buyer_brings_back_counts_in_the_same_way_of_selling(lot):
    sale = sell_from(lot, 4, "10.00", buyer=BuyerFactory(kind="trade"))
    take_back(document=sale, plants=[(lot, 1)], on=MAY_DAY, restock=True, request_id=uuid4())

    assert margins("channel") == {"to the trade": (3, 30, 18)}


def test_every_kind_of_buyer_is_a_way_of_selling():
    assert list(CHANNELS) == list(Buyer.Kind)
