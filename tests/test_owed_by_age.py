"""What is owed by age: for how long, by whom, on any day."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from sales import operations
from sales.ages import AGES, age_of, days_over
from sales.queries.owed_by_age import all_owed, owed_by_buyer, owed_on
from sales.reports import REPORTS
from tests.factories import DAY, BuyerFactory, NurseryFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db
DUE = DAY + timedelta(days=30)


@pytest.mark.parametrize(
    ("days", "key"),
    [
        (-5, "current"),
        (0, "current"),
        (1, "1-30"),
        (30, "1-30"),
        (31, "31-60"),
        (60, "31-60"),
        (61, "61-90"),
        (90, "61-90"),
        (91, "over-90"),
        (400, "over-90"),
    ],
)
def test_an_age_begins_and_ends_with_its_day(days, key):
    """Common practice: steps of thirty days past the day due."""
    assert age_of(DUE, DUE + timedelta(days=days)).key == key
    assert days_over(DUE, DUE + timedelta(days=days)) == max(days, 0)


@pytest.mark.parametrize("days", [0, 1, 30, 31, 60, 61, 90, 91])
def test_the_database_finds_the_same_age(days):
    NurseryFactory()
    sell_from(lot_holding(9), 1, buyer=BuyerFactory())
    on = DUE + timedelta(days=days)

    assert owed_on(on).get().age == age_of(DUE, on).key


def test_what_is_owed_stands_as_it_was_on_that_day():
    NurseryFactory()
    lot, buyer = lot_holding(9), BuyerFactory()
    invoice = sell_from(lot, 4, buyer=buyer)
    later = DAY + timedelta(days=10)
    pay = {"document": invoice, "method": "card", "request_id": uuid4()}
    operations.pay(amount=Decimal(15), on=later, **pay)
    operations.take_back(
        document=invoice,
        plants=[(lot, 1)],
        on=later + timedelta(days=1),
        restock=True,
        request_id=uuid4(),
    )

    assert not owed_on(DAY - timedelta(days=1))
    owed = [owed_on(later + timedelta(days=days)).get().owed for days in (-1, 0, 1)]
    assert owed == [Decimal(40), Decimal(25), Decimal(15)]


def test_buyers_stand_by_what_they_owe_with_their_accounts():
    NurseryFactory()
    lot = lot_holding(30)
    little, much = BuyerFactory(name="Little"), BuyerFactory(name="Much")
    sell_from(lot, 1, buyer=little)
    sell_from(lot, 5, buyer=much)
    sell_from(lot, 2, buyer=much, on=DAY + timedelta(days=40))
    sell_from(lot, 2, paid_by="cash")
    operations.take_on_account(
        buyer=little, amount=Decimal(3), method="cash", on=DAY, request_id=uuid4()
    )

    rows = owed_by_buyer(DUE + timedelta(days=20))

    assert [(row.name, row.owed, row.overdue, row.on_account) for row in rows] == [
        ("Much", Decimal(70), Decimal(50), Decimal(0)),
        ("Little", Decimal(10), Decimal(10), Decimal(3)),
    ]
    assert all_owed(rows).sums == dict(
        zip((age.key for age in AGES), (Decimal(n) for n in (20, 60, 0, 0, 0)), strict=True)
    )


def test_the_report_names_each_open_document():
    NurseryFactory()
    invoice = sell_from(lot_holding(9), 4, buyer=BuyerFactory(name="Thistle & Stone"))

    (row,) = REPORTS["owed"](on=DUE + timedelta(days=45))

    assert row == {
        "buyer": "Thistle & Stone",
        "document": invoice.number,
        "date": DAY,
        "due_on": DUE,
        "total": Decimal(40),
        "credited": Decimal(0),
        "paid": Decimal(0),
        "owed": Decimal(40),
        "days_over": 45,
        "age": "31-60",
    }
    assert REPORTS["owed"](on=date(2025, 1, 1)) == []


def test_a_cancelled_sale_is_not_owed():
    NurseryFactory()
    invoice = sell_from(lot_holding(9), 4, buyer=BuyerFactory())
    operations.undo_sale(document=invoice, request_id=uuid4())

    assert not owed_on(DUE)


def test_the_list_asks_three_questions_however_many_are_open(django_assert_num_queries):
    NurseryFactory()
    lot = lot_holding(60)
    for _ in range(12):
        sell_from(lot, 2, buyer=BuyerFactory())

    with django_assert_num_queries(3):
        assert len(owed_by_buyer(DUE)) == 12
