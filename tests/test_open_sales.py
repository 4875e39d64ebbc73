"""What is open on a sale is kept beside it, and always what documents and payments say."""

from decimal import Decimal
from uuid import uuid4

import pytest

from sales import operations
from sales.models import OpenSale
from sales.operations.open_sales import keep_all_open
from sales.queries.open_sales import open_differences
from tests.factories import DAY, BuyerFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db


def kept() -> dict[str, Decimal]:
    """Return what is kept, after proving it."""
    assert not list(open_differences())
    return dict(OpenSale.objects.values_list("document__number", "amount"))


def test_each_thing_that_settles_or_opens_a_sale_is_kept():
    buyer, lot = BuyerFactory(), lot_holding(20)
    sell_from(lot, 1, paid_by="cash")
    sale = sell_from(lot, 4, buyer=buyer, price="10")
    assert kept() == {sale.number: 40}

    paid = operations.pay(
        document=sale, amount=Decimal(15), method="cash", on=DAY, request_id=uuid4()
    )
    assert kept() == {sale.number: 25}
    credit = operations.take_back(
        document=sale, plants=[(lot, 3)], on=DAY, restock=True, request_id=uuid4()
    )
    assert kept() == {sale.number: -5}
    operations.undo_sale(document=credit, request_id=uuid4())
    operations.undo_payment(payment=paid, request_id=uuid4())
    assert kept() == {sale.number: 40}
    operations.undo_sale(document=sale, request_id=uuid4())
    assert kept() == {}


def test_a_wrong_figure_is_named_and_worked_out_again():
    sale = sell_from(lot_holding(5), 2, buyer=BuyerFactory(), price="10")
    OpenSale.objects.update(amount=7)

    (words,) = open_differences()
    assert sale.number in words and "7" in words and "20" in words
    keep_all_open()

    assert kept() == {sale.number: 20}
