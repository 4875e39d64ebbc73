"""Film over its years, rent and insurance: charged part by part, adding up to what was paid."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory import operations
from inventory.errors import AlreadyUndone, CannotUndo, LedgerError, PeriodClosed
from inventory.forms.bills import last_of
from inventory.models import Bill, Closing, PaidAhead
from inventory.queries.conservation import conservation
from inventory.queries.paid_ahead import Standing, due_parts, standing_of
from sales.queries.journal import journal
from tests.bill_scenes import house, lot_in, parts_of
from tests.factories import NurseryFactory
from tests.faults.clock import set_back
from tests.ledger_figures import assert_the_books_are_right

pytestmark = pytest.mark.django_db

BEGAN = date(2025, 3, 1)
ENDS = date(2029, 2, 28)
MARCH, APRIL = date(2025, 3, 31), date(2025, 4, 30)


@pytest.fixture
def film():
    """1,200 for four years of film over a house with a lot in it; 1,461 days."""
    NurseryFactory()
    place = house()
    lot_in(place, 100, "A")
    return paid(place=place)


def paid(amount: str = "1200.00", **more) -> PaidAhead:
    facts = {"category": "space", "first_day": BEGAN, "last_day": ENDS, "request_id": uuid4()}
    return operations.pay_ahead(amount=Decimal(amount), **facts | more)


def charge(row, until: date, **more) -> Bill:
    return operations.charge_part(paid_ahead=row, until=until, **{"request_id": uuid4()} | more)


def sums() -> dict[str, Decimal]:
    found: dict[str, Decimal] = {}
    for entry in journal():
        for line in entry.lines():
            found[line.account] = found.get(line.account, 0) + line.debit - line.credit
    return {account: amount for account, amount in found.items() if amount}


def test_a_part_is_what_its_days_are_worth(film):
    """By hand: 1,200 × 31 / 1,461 is 25.462…, and × 61 / 1,461 is 50.102…"""
    first = charge(film, MARCH)
    second = charge(film, APRIL)

    assert (first.amount, second.amount) == (Decimal("25.46"), Decimal("24.64"))
    assert (second.first_day, second.last_day) == (date(2025, 4, 1), APRIL)
    assert parts_of(first) == {"A": Decimal("25.46")}
    standing = standing_of(film)
    assert (standing.charged, standing.to_come) == (Decimal("50.10"), Decimal("1149.90"))
    assert_the_books_are_right()


def test_what_is_not_charged_is_no_cost_of_any_plant(film):
    """Common practice: paid ahead stands on an account of its own until its days are over."""
    assert conservation().total.incurred == 0
    assert sums() == {"paid_ahead": 1200, "from_space": -1200}

    charge(film, MARCH)

    assert conservation().total.incurred == Decimal("25.46")
    assert sums() == {
        "paid_ahead": Decimal("1174.54"),
        "stock": Decimal("25.46"),
        "from_space": -1200,
    }


def test_unused_space_of_a_part_comes_out_of_what_was_paid_ahead():
    NurseryFactory()
    row = paid(place=house(), unused="expense")

    part = charge(row, MARCH)

    assert part.unused_amount == Decimal("25.46")
    assert sums()["unused_space"] == Decimal("25.46")
    assert sums()["paid_ahead"] == Decimal("1174.54")


@given(
    amount=st.integers(1, 10**7),
    days=st.integers(1, 800),
    stops=st.lists(st.integers(0, 900), max_size=30),
    currency=st.sampled_from(["USD", "JPY", "KWD"]),
)
def test_all_parts_add_up_whenever_they_are_charged(amount, days, stops, currency):
    last = BEGAN + timedelta(days=days - 1)
    row = PaidAhead(amount=Decimal(amount), first_day=BEGAN, last_day=last)
    standing = Standing(row, [], None, currency)
    for stop in [*sorted(stops), days]:
        part = standing.next_part(BEGAN + timedelta(days=stop))
        assert part.amount >= 0
        standing.parts.append(Bill(amount=part.amount, last_day=part.last_day))

    assert standing.to_come == 0


def test_a_part_pressed_twice_is_charged_once(film):
    request_id = uuid4()

    assert charge(film, MARCH, request_id=request_id) == charge(film, MARCH, request_id=request_id)
    assert Bill.objects.count() == 1


def test_paying_ahead_twice_with_one_request_is_kept_once():
    request_id = uuid4()

    assert paid(request_id=request_id) == paid(request_id=request_id)
    assert PaidAhead.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "words", "field"),
    [
        ({"amount": "0"}, "more than nothing", "amount"),
        ({"category": "gold"}, "no kind of cost", "category"),
        ({"last_day": BEGAN - timedelta(days=1)}, "a day at least", "lasts"),
        ({"basis": "plants", "unused": "expense"}, "by area and days", "unused"),
    ],
)
def test_what_makes_no_sense_is_refused(wrong, words, field):
    with pytest.raises(LedgerError, match=words) as refusal:
        paid(**wrong)

    assert refusal.value.field == field
    assert not PaidAhead.objects.exists()


def test_days_charged_already_or_still_to_come_are_refused(film):
    charge(film, APRIL)

    with pytest.raises(LedgerError, match="a day after 2025-04-30"):
        charge(film, MARCH)
    with set_back(date.today() - APRIL), pytest.raises(LedgerError, match="has not come yet"):
        charge(film, APRIL + timedelta(days=1))


def test_parts_are_undone_the_last_first_and_then_charged_again(film):
    first, second = charge(film, MARCH), charge(film, APRIL)

    with pytest.raises(CannotUndo, match="Undo the last first"):
        operations.undo_bill(bill=first, request_id=uuid4())
    with pytest.raises(CannotUndo, match="charged to plants"):
        operations.undo_paid_ahead(paid_ahead=film, request_id=uuid4())
    for part in (second, first):
        operations.undo_bill(bill=part, request_id=uuid4())

    assert standing_of(film).charged == 0
    assert charge(film, MARCH).amount == Decimal("25.46")
    assert_the_books_are_right()


def test_an_amount_is_undone_once_and_charged_no_more(film):
    request_id = uuid4()

    back = operations.undo_paid_ahead(paid_ahead=film, request_id=request_id)

    assert operations.undo_paid_ahead(paid_ahead=film, request_id=request_id) == back
    with pytest.raises(AlreadyUndone):
        operations.undo_paid_ahead(paid_ahead=film, request_id=uuid4())
    with pytest.raises(LedgerError, match="undone"):
        charge(PaidAhead.objects.get(pk=film.pk), MARCH)
    assert sums() == {}


def test_closed_days_are_charged_with_the_first_open_ones(film):
    Closing.objects.create(kind="close", closed_to=MARCH, request_id=uuid4())

    part = charge(film, APRIL)

    assert (part.first_day, part.last_day) == (date(2025, 4, 1), APRIL)
    assert part.amount == Decimal("50.10"), "both months"
    with pytest.raises(PeriodClosed):
        paid()


def test_what_ended_in_a_closed_period_falls_on_the_first_open_day(film):
    row = paid("31.00", last_day=MARCH, place=film.place)
    Closing.objects.create(kind="close", closed_to=APRIL, request_id=uuid4())

    part = charge(row, MARCH)

    assert (part.first_day, part.last_day, part.amount) == (
        date(2025, 5, 1),
        date(2025, 5, 1),
        31,
    )


def test_the_months_that_are_over_are_due(film):
    ((row, part),) = due_parts(date(2025, 5, 12))

    assert (row, part.until, part.amount) == (film, APRIL, Decimal("50.10"))
    charge(film, APRIL)
    assert due_parts(date(2025, 5, 12)) == []
    assert due_parts(date(2025, 5, 31))[0][1].amount == Decimal("25.46")


@pytest.mark.parametrize(
    ("first", "number", "counted_in", "last"),
    [
        (BEGAN, 4, "years", ENDS),
        (date(2025, 1, 31), 1, "months", date(2025, 2, 28)),
        (date(2024, 2, 29), 1, "years", date(2025, 2, 28)),
        (date(2025, 12, 1), 3, "months", date(2026, 2, 28)),
        (BEGAN, 10, "days", date(2025, 3, 10)),
    ],
)
def test_years_months_and_days_end_where_one_would_say(first, number, counted_in, last):
    assert last_of(first, number, counted_in) == last
