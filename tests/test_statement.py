"""A buyer's statement: opening, what came and went, closing."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from sales import operations
from sales.queries.statement import statement_of
from tests.factories import DAY, BuyerFactory, NurseryFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db


def day(number):
    return DAY + timedelta(days=number)


def test_a_statement_adds_up_from_its_opening_to_its_closing():
    NurseryFactory()
    buyer, lot = BuyerFactory(), lot_holding(50)
    before = sell_from(lot, 3, buyer=buyer)
    invoice = sell_from(lot, 10, buyer=buyer, on=day(5))
    paid = {"method": "cheque", "request_id": uuid4()}
    operations.pay(document=before, amount=Decimal(30), on=day(6), **paid)
    operations.take_back(
        document=invoice, plants=[(lot, 2)], on=day(7), restock=True, request_id=uuid4()
    )
    operations.take_on_account(
        buyer=buyer, amount=Decimal(25), method="card", on=day(8), request_id=uuid4()
    )
    operations.use_account(document=invoice, amount=Decimal(20), on=day(9), request_id=uuid4())
    sell_from(lot, 1, buyer=buyer, on=day(20))

    found = statement_of(buyer, day(1), day(10))

    assert found.opening == Decimal(30)
    assert [(line.kind, line.amount, line.balance) for line in found.lines] == [
        ("sale", Decimal(100), Decimal(130)),
        ("cheque", Decimal(-30), Decimal(100)),
        ("credit", Decimal(-20), Decimal(80)),
        ("card", Decimal(-25), Decimal(55)),
    ]
    assert (found.closing, found.owed, found.on_account) == (Decimal(55), Decimal(60), Decimal(5))
    assert statement_of(buyer, day(11), day(30)).opening == found.closing


def test_what_was_undone_is_on_no_statement():
    NurseryFactory()
    buyer = BuyerFactory()
    invoice = sell_from(lot_holding(9), 4, buyer=buyer, paid_by="cash")
    operations.undo_sale(document=invoice, request_id=uuid4())

    found = statement_of(buyer, day(0), day(10))

    assert (found.lines, found.closing) == ([], 0)
