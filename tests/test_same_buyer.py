"""One buyer written down twice: made one, and two again."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction

from inventory.costing.categories import CATEGORIES
from sales import operations
from sales.errors import SaleRefused
from sales.ledger_file.rows import RowError
from sales.models import Buyer, TaxRate
from sales.queries.buyers import listed_buyers
from sales.queries.certificates import certificates_due
from sales.queries.holds import holds_of
from sales.queries.margin import margin_with
from sales.queries.on_account import on_account
from sales.queries.owed_by_age import owed_by_buyer, owed_on
from sales.queries.proof import account_differences
from sales.queries.reminder import reminder_for
from sales.queries.statement import statement_of
from sales.reports import REPORTS
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    exempt_buyer,
    lot_holding,
    sell_from,
)
from tests.test_ledger_file import exported, left_behind, read

pytestmark = pytest.mark.django_db

DAYS = [timedelta(days=number) for number in range(41)]


def two_entries():
    """Return a buyer and the same one as it was written down once more."""
    return BuyerFactory(name="Greenacre Yard"), BuyerFactory(name="Green Acre Yd.")


def merged(kept, double, **more):
    return operations.merge_buyers(kept=kept, merged=double, **({"request_id": uuid4()} | more))


def paid_ahead(buyer, amount, on=DAY):
    facts = {"amount": Decimal(amount), "method": "card", "on": on, "request_id": uuid4()}
    return operations.take_on_account(buyer=buyer, **facts)


def test_two_entries_become_one_however_often_it_is_sent():
    kept, double = two_entries()
    request_id = uuid4()

    first = merged(kept, double, request_id=request_id)

    assert merged(kept, double, request_id=request_id) == merged(kept, double) == first
    assert set(kept.entries) == set(first.entries) == {kept, double}
    assert (first.kept, kept.kept) == (kept, kept)
    assert list(Buyer.objects.kept()) == [kept]


def test_they_are_two_again_and_an_old_press_does_not_make_them_one():
    kept, double = two_entries()
    request_id = uuid4()
    merged(kept, double, request_id=request_id)

    for _ in range(2):
        operations.split_buyer(buyer=Buyer.objects.get(pk=double.pk))
    merged(kept, double, request_id=request_id)

    assert set(Buyer.objects.kept()) == {kept, double}


def test_what_would_make_a_chain_is_refused():
    kept, double = two_entries()
    third = BuyerFactory(name="Thistle & Stone")
    merged(kept, double)

    with pytest.raises(SaleRefused, match="same as itself"):
        merged(kept, kept)
    with pytest.raises(SaleRefused, match="Keep Greenacre Yard"):
        merged(double, third)
    with pytest.raises(SaleRefused, match="two after all"):
        merged(third, double)
    with pytest.raises(SaleRefused, match="Keep Greenacre Yard instead"):
        merged(third, kept)


def test_the_database_refuses_a_chain_too():
    kept, double = two_entries()
    third = BuyerFactory(name="Thistle & Stone")
    merged(kept, double)

    for buyer, same_as in ((third, double), (kept, third)):
        with pytest.raises(DatabaseError, match="names none itself"), transaction.atomic():
            Buyer.objects.filter(pk=buyer.pk).update(same_as=same_as)
    with pytest.raises(DatabaseError, match="names none itself"), transaction.atomic():
        Buyer.objects.create(name="Fallow Grounds", same_as=double)


def test_they_stay_one_where_money_of_one_was_used_for_the_other():
    NurseryFactory()
    kept, double = two_entries()
    invoice = sell_from(lot_holding(9), 4, buyer=double)
    paid_ahead(kept, 25)
    merged(kept, double)
    use = {"amount": Decimal(25), "on": DAY + timedelta(1), "request_id": uuid4()}
    used = operations.use_account(document=invoice, **use)

    with pytest.raises(SaleRefused, match=r"used for Green Acre Yd\."):
        operations.split_buyer(buyer=Buyer.objects.get(pk=double.pk))
    assert Buyer.objects.kept().count() == 1

    operations.undo_payment(payment=used, request_id=uuid4())
    operations.split_buyer(buyer=Buyer.objects.get(pk=double.pk))
    assert Buyer.objects.kept().count() == 2


def both_deal(kept, double):
    """Let both entries buy, pay ahead and have plants held: 40.00 and 30.00, 25.00 and 10.00."""
    NurseryFactory()
    lot = lot_holding(60, medium="60.00")
    invoices = [sell_from(lot, 4, buyer=kept), sell_from(lot, 3, buyer=double, on=DAY + DAYS[1])]
    paid_ahead(kept, 25)
    paid_ahead(double, 10)
    for buyer, number in ((kept, 5), (double, 2)):
        wanted = [operations.Wanted(lot.plant, lot.container, number, unit_price=Decimal(10))]
        promise = {"wanted": wanted, "on": DAY, "until": DAY + DAYS[30], "request_id": uuid4()}
        operations.hold(buyer=buyer, **promise)
    return invoices


def test_what_two_entries_owe_is_the_sum_of_both():
    kept, double = two_entries()
    both_deal(kept, double)
    merged(kept, double)
    until = DAY + DAYS[40]

    (row,) = owed_by_buyer(until)
    found = statement_of(kept, DAY + DAYS[1], until)

    # 4 and 3 plants at 10.00; 25.00 and 10.00 paid ahead, that and 40.00 before the first day.
    assert (row.buyer, row.owed, row.overdue, row.on_account) == (kept, 70, 70, 35)
    assert (found.opening, found.closing, found.owed, found.on_account) == (5, 35, 70, 35)
    assert [line.amount for line in found.lines] == [Decimal(30)]
    assert reminder_for(kept, until).overdue == 70
    assert listed_buyers(DAY).values_list("name", "owed", "bought").get() == (kept.name, 70, 70)
    assert {row["buyer"] for row in REPORTS["owed"](on=until)} == {kept.name}


def test_what_two_entries_bought_left_and_hold_is_the_sum_of_both():
    kept, double = two_entries()
    both_deal(kept, double)
    merged(kept, double)

    margin = margin_with(kept.entries, CATEGORIES)
    (report,) = REPORTS["buyers"](on=DAY + DAYS[2])

    # The lot's plants cost 1.00 each.
    assert (margin.sold, margin.revenue, margin.margin) == (7, 70, 63)
    assert (report["name"], report["sold"], report["revenue"]) == (kept.name, 7, 70)
    assert [row.open for row in holds_of(kept.entries, DAY)] == [5, 2]
    assert {row["buyer"] for row in REPORTS["holds"](on=DAY)} == {kept.name}
    assert {row["key"] for row in REPORTS["margin"](by="buyer")} == {kept.name}


def test_one_amount_pays_invoices_of_both_and_either_uses_the_account():
    kept, double = two_entries()
    first, second = both_deal(kept, double)
    merged(kept, double)
    facts = {"on": DAY + DAYS[2], "by": None}

    use = {"amount": Decimal(30), "request_id": uuid4()}
    operations.use_account(document=second, **use, **facts)
    rest = {"amount": Decimal(40), "method": "card", "request_id": uuid4()}
    operations.pay_several(buyer=kept, documents=[first, second], **rest, **facts)

    assert not owed_on(DAY + DAYS[2]).exists()
    assert on_account(kept) == on_account(double) == 5
    assert list(account_differences()) == []
    second.refresh_from_db()
    assert (second.buyer, second.buyer_name) == (double, "Green Acre Yd.")


def test_a_new_sale_hold_or_payment_is_the_kept_ones():
    kept, double = two_entries()
    both_deal(kept, double)
    stale = merged(kept, double)

    (held,) = [row.hold for row in holds_of(kept.entries, DAY) if row.hold.buyer == double]
    numbers = {held.lines.get(): 2}
    handed = operations.sell_held(hold=held, numbers=numbers, on=DAY, request_id=uuid4())

    assert handed.buyer == kept
    assert paid_ahead(stale, 1).buyer == kept


def test_a_certificate_of_either_exempts_the_one_kept():
    NurseryFactory()
    TaxRate.objects.create(percent=Decimal(6), valid_from=DAY)
    kept, double = BuyerFactory(tax_exempt=True), exempt_buyer(number="E-17")
    lot = lot_holding(9)
    assert sell_from(lot, 1, buyer=kept).tax == Decimal("0.60")

    merged(kept, double)

    assert sell_from(lot, 1, buyer=kept).taxes.get().reason == "Exempt, certificate E-17"
    assert certificates_due(DAY) == []


def told():
    """Return every figure of buyers, and what lies on the account of each entry."""
    names = ("buyers", "owed", "holds", "trace", "margin")
    asked = {"on": DAY + DAYS[40], "by": "buyer", "batch": "B-L1"}
    figures = {name: REPORTS[name](**asked) for name in names}
    return figures, {buyer.name: (str(buyer.same_as), on_account(buyer)) for buyer in entries()}


def entries():
    return Buyer.objects.order_by("name")


def test_the_ledger_file_keeps_who_is_the_same():
    with left_behind():
        kept, double = two_entries()
        _, second = both_deal(kept, double)
        deposit = {"amount": Decimal(8), "method": "cash", "on": DAY, "request_id": uuid4()}
        merged(kept, double)
        operations.take_deposit(hold=double.holds.get(), **deposit)
        use = {"amount": Decimal(30), "on": DAY + DAYS[2], "request_id": uuid4()}
        operations.use_account(document=second, **use)
        file, before = exported(), told()

    assert not Buyer.objects.exists()
    read(file)

    assert told() == before
    assert before[1]["Green Acre Yd."] == ("Greenacre Yard", Decimal(13))
    assert exported().count("\n") == file.count("\n")


@pytest.mark.parametrize(
    ("names", "words"),
    [("Fen & Sons,", "column note: empty"), ("Fen & Sons,Fen & Sons", "same as itself")],
)
def test_a_wrong_row_says_what_would_be_right(names, words):
    buyer, _, kept = names.partition(",")

    with pytest.raises(RowError, match=f"line 2.*{words}"):
        read(f"date,event,buyer,category,note\n2025-04-10,buyer,{buyer},same_as,{kept}\n")
