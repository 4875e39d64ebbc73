"""The machine's clock went back: the order of the books holds, and people are told."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from inventory.errors import LedgerError, NotEnoughPlants, PeriodClosed
from inventory.models import LotBalance
from inventory.operations import close_period
from sales.models import Document
from tests.entering import as_grower
from tests.factories import sell_from
from tests.faults.clock import set_back
from tests.faults.proofs import differences
from tests.faults.scene import small_nursery

pytestmark = pytest.mark.django_db(transaction=True)
TODAY = date.today()
# To a day before the nursery began.
YEARS = TODAY - date(2022, 10, 18)


@pytest.fixture
def lot():
    """A lot of a small nursery, sold from once today."""
    small_nursery()
    lot = LotBalance.objects.earliest("pk").lot
    sell_from(lot, 1, on=TODAY)
    return lot


def test_a_sale_on_a_day_before_its_plants_were_there_is_refused(lot):
    with set_back(YEARS), pytest.raises(NotEnoughPlants):
        sell_from(lot, 1, on=TODAY - YEARS)


def test_numbers_and_requests_go_on_and_the_books_hold(lot):
    with set_back(YEARS):
        sell_from(lot, 2, on=TODAY)
        sell_from(lot, 3, on=TODAY)

    assert sorted(Document.objects.values_list("serial", flat=True)) == [1, 2, 3]
    assert differences() == []


def test_a_closed_day_stays_closed_and_a_day_to_come_is_not_closed(lot):
    close_period(last_day=TODAY - timedelta(2), request_id=uuid4())

    with set_back(YEARS):
        with pytest.raises(PeriodClosed):
            sell_from(lot, 1, on=TODAY - timedelta(3))
        with pytest.raises(LedgerError, match="has not come yet"):
            close_period(last_day=TODAY, request_id=uuid4())


def test_today_says_that_the_clock_is_behind(client, lot):
    grower, words = as_grower(client), "This machine’s clock is behind"
    assert words not in grower.get("/").content.decode()

    with set_back(YEARS):
        assert words in grower.get("/").content.decode()
