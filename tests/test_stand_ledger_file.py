"""What a stand day leaves in the ledger file: its sales, payments, losses and box."""

from decimal import Decimal

import pytest

from sales.ledger_file.rows import RowError
from sales.models import BoxEntry
from sales.queries.journal import journal
from sales.reports import REPORTS
from tests.factories import cause, give_price, lot_holding
from tests.stand_scenes import close, give_out, sell_at, stand
from tests.test_ledger_file import exported, left_behind, read

pytestmark = pytest.mark.django_db


def two_days():
    """Leave a day with somebody there and one with nobody, both closed."""
    lot = lot_holding(30)
    give_price(lot, "12.00")
    day = stand("40.00", {lot: 10})
    sell_at(day, lot, 3)
    for kind in ("paid_out", "bank", "safe"):
        give_out(day, "8.00", kind)
    close(day, "51.50", [(lot, 5, cause("theft"))], note="a purse was lost")
    close(stand("0", {lot: 6}, attended=False), "20.00", [(lot, 4)])


def posted():
    """Return the sums of the journal by account and day."""
    rows = [
        (entry.date, line.account, line.amount) for entry in journal() for line in entry.lines()
    ]
    return sorted(rows)


def test_the_journal_is_the_same_after_the_way_out_and_in():
    with left_behind():
        two_days()
        file, before = exported(), (posted(), REPORTS["lots"](), REPORTS["margin"](by="lot"))
    read(file)

    assert (posted(), REPORTS["lots"](), REPORTS["margin"](by="lot")) == before
    assert exported() == file


def test_a_ledger_without_stands_writes_no_word_of_them():
    lot_holding(3)

    assert ",cash," not in exported()


@pytest.mark.parametrize(
    ("kind", "amount", "wrong"),
    [
        ("luck", "1.00", "is not known"),
        ("over_short", "0", "not 0"),
        ("not_paid", "5.00", "write -5.00"),
        ("paid_out", "-5.00", "what was paid for"),
    ],
)
def test_a_wrong_row_says_what_would_be_right(kind, amount, wrong):
    file = f"date,event,amount,treatment\n2025-04-10,cash,{amount},{kind}\n"

    with pytest.raises(RowError, match=wrong):
        read(file)
    assert not BoxEntry.objects.exists()


def test_the_same_file_again_writes_nothing_more():
    file = "date,event,amount,treatment\n2025-04-10,cash,-5.00,over_short\n"
    read(file)
    read(file)

    assert BoxEntry.objects.get().amount == Decimal(-5)
