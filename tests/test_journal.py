"""The journal balances, agrees with the ledger, and bears the names that the books use."""

import csv
from collections import Counter
from datetime import date, timedelta
from decimal import Decimal
from io import StringIO
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations
from inventory.models import Person, Supply
from inventory.operations.spending import Use, Work
from inventory.operations.supplies import buy, undo_supply_entry
from inventory.queries.conservation import conservation
from nursery.money import from_millionths
from sales import operations as sales_operations
from sales.accounts import ACCOUNTS
from sales.errors import SaleRefused
from sales.journal import Entry, in_minor_units
from sales.models import AccountName
from sales.queries.document_list import owed_and_overdue
from sales.queries.journal import journal
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    UserFactory,
    cause,
    container,
    lot_holding,
    sell_from,
)
from tests.filled import fill_with_the_demo

pytestmark = pytest.mark.django_db

KEYS = {account.key for account in ACCOUNTS}


@pytest.fixture
def page(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def sums_of(entries) -> dict[str, Decimal]:
    """Return debits less credits of each account, those at nothing left out."""
    sums: Counter = Counter()
    for entry in entries:
        for line in entry.lines():
            sums[line.account] += line.amount
    return {account: from_millionths(sum_) for account, sum_ in sums.items() if sum_}


def test_the_journal_of_the_demo_balances_and_agrees_with_the_ledger():
    fill_with_the_demo()

    entries = journal()

    assert len(entries) > 100
    for entry in entries:
        assert sum(line.amount for line in entry.lines()) == 0
        assert {line.account for line in entry.lines()} <= KEYS
    assert [entry.date for entry in entries] == sorted(entry.date for entry in entries)
    assert len({entry.key for entry in entries}) == len(entries)
    sums, flow = sums_of(entries), conservation().total
    assert sum(sums.values()) == 0
    assert sums["stock"] == flow.in_stock
    assert sums["cost_of_sales"] == flow.cost_of_sales
    without_plants = ("losses", "used", "uncarried", "supplies_missing")
    assert sum(sums.get(key, 0) for key in without_plants) == flow.expensed
    assert sums["receivable"] == owed_and_overdue(DAY)[0]


def test_whole_cents_balance_too_and_lose_nothing_on_the_way():
    fill_with_the_demo()
    entries = journal()

    rounded = list(in_minor_units(entries, 2))

    for entry in rounded:
        lines = entry.lines()
        assert sum(line.amount for line in lines) == 0
        assert all(line.amount % 10_000 == 0 for line in lines)
    exact = sums_of(entries)
    for account, sum_ in sums_of(rounded).items():
        # At most half a cent for each account that stands on the other side.
        assert abs(sum_ - exact[account]) < Decimal("0.05")


def test_what_rounding_leaves_over_goes_into_the_next_entry():
    """Common practice: three thirds of a cent make a cent, and not nothing."""
    entries = []
    for day in (1, 2, 3):
        entry = Entry(f"O{day}", date(2025, 1, day), "Heat")
        entry.post("stock", "from_heat", 3_334)
        entries.append(entry)

    posted = [[line.debit for line in entry.lines()] for entry in in_minor_units(entries, 2)]

    assert posted == [[], [Decimal("0.01"), 0], []]


def test_supplies_time_and_other_costs_come_from_accounts_of_their_own():
    pots = Supply.objects.create(name="Pots", category="containers")
    buy(
        supply=pots,
        quantity=Decimal(100),
        amount=Decimal(40),
        on=DAY,
        request_id=uuid4(),
        supplier="Clay & Sons",
    )
    person = Person.objects.create(name="Ada", hourly_rate=Decimal(24))
    tray = lot_holding(20, size="tray", medium="3")

    operations.pot_up(
        lot=tray,
        quantity=10,
        to_lot="POT",
        container=container("#1"),
        on=DAY,
        costs={"containers": Decimal(1), "labour": Decimal(2)},
        uses=[Use(pots, Decimal(6)), Use(pots, Decimal(4)), Work(person, Decimal(30))],
        request_id=uuid4(),
    )

    assert sums_of(journal()) == {
        "supplies": 36,
        "payable": -40,
        "time": -12,
        "from_containers": -1,
        "from_labour": -2,
        "from_medium": -3,
        "stock": 22,
    }
    assert "Clay & Sons" in next(e.text for e in journal() if e.key.startswith("S"))


def test_what_was_undone_is_not_in_the_journal():
    lot = lot_holding(10, medium="10")
    before = sums_of(journal())
    document = sell_from(lot, 2, paid_by="cash")
    loss = operations.write_off(
        losses=[operations.Loss(lot, 1, cause("winter"), "abnormal")],
        on=DAY,
        request_id=uuid4(),
    )
    supply = Supply.objects.create(name="Pots")
    facts = {"quantity": Decimal(5), "amount": Decimal(5), "on": DAY}
    bought = buy(supply=supply, request_id=uuid4(), **facts)
    assert len(sums_of(journal())) > len(before)

    sales_operations.undo_sale(document=document, request_id=uuid4())
    operations.reverse(operation=loss, request_id=uuid4())
    undo_supply_entry(entry=bought, request_id=uuid4())

    assert sums_of(journal()) == before


def test_opening_stock_has_an_account_of_its_own_and_cost_without_plants_too():
    lot = lot_holding(10, kind="opening", medium="50")
    operations.take_out(lot=lot, quantity=10, kind="use", on=DAY, request_id=uuid4())
    operations.add_cost(lot=lot, costs={"heat": Decimal(7)}, on=DAY, request_id=uuid4())

    assert sums_of(journal()) == {"opening": -50, "used": 50, "uncarried": 7, "from_heat": -7}


def test_money_that_is_not_cash_goes_to_the_bank_and_names_its_document():
    document = sell_from(lot_holding(10), 2, buyer=BuyerFactory(name="Hedge & Co"))
    facts = {"amount": document.total, "on": DAY, "request_id": uuid4()}
    sales_operations.pay(document=document, method="transfer", **facts)

    sold, paid = (entry for entry in journal() if entry.key[0] in "DP")

    assert sums_of([paid]) == {"bank": 20, "receivable": -20}
    assert (sold.document, paid.document) == (document.number, document.number)
    assert sold.text == "Sold to Hedge & Co"


def test_the_days_asked_for_are_covered_and_no_others():
    lot = lot_holding(10, medium="10")
    later = DAY + timedelta(days=30)
    sell_from(lot, 1, on=later, paid_by="cash")

    assert {entry.date for entry in journal()} == {DAY, later}
    assert {entry.date for entry in journal(on=DAY)} == {DAY}
    assert {entry.date for entry in journal(since=later, on=later)} == {later}


def test_the_journal_asks_as_few_questions_of_a_long_history(django_assert_max_num_queries):
    fill_with_the_demo()

    with django_assert_max_num_queries(13):
        journal()


def test_an_account_gets_the_name_the_books_use_and_again_changes_nothing():
    facts = {"key": "stock", "code": "1-400", "name": "Growing stock"}

    for _ in range(2):
        sales_operations.name_account(request_id=uuid4(), **facts)

    assert str(AccountName.objects.get()) == "1-400 Growing stock"


@pytest.mark.parametrize(
    "facts", [{"key": "petty"}, {"key": "cash", "code": " "}, {"key": "cash", "name": ""}]
)
def test_an_account_that_is_none_or_has_no_name_is_refused(facts):
    with pytest.raises(SaleRefused):
        sales_operations.name_account(**{"code": "1", "name": "Till"} | facts)

    assert not AccountName.objects.exists()


def test_the_pages_ask_for_a_login_and_naming_for_leave(client):
    for name in ("journal", "accounts"):
        assert client.get(reverse(f"sales:{name}")).status_code == 302
    client.force_login(UserFactory())
    assert client.get(reverse("sales:accounts")).status_code == 403


def test_the_page_balances_and_its_file_bears_the_accounts_own_names(page):
    sell_from(lot_holding(10, medium="10"), 3, "10.00", paid_by="cash")
    typed = {"key": "cash", "code": "77", "name": "Till", "request_id": str(uuid4())}
    text = page.post(reverse("sales:accounts"), typed, follow=True).content.decode()
    assert "The journal posts to 77 Till from now on." in text

    days = {"since": DAY.isoformat(), "until": DAY.isoformat()}
    text = page.get(reverse("sales:journal"), days).content.decode()
    assert "Each entry balances, and so does the whole." in text
    answer = page.get(reverse("sales:journal"), days | {"_export": "csv"})
    rows = list(csv.DictReader(StringIO(answer.content.decode("utf-8-sig"))))
    debits, credits = (
        sum(Decimal(row[f"{side}, $"] or 0) for row in rows) for side in ("Debit", "Credit")
    )
    assert debits == credits == 10 + 30 + 3 + 30
    assert {"77": "Till"}.items() <= {row["Code"]: row["Account"] for row in rows}.items()


def test_a_refused_name_keeps_what_was_typed(page):
    typed = {"key": "cash", "code": "", "name": "The till", "request_id": str(uuid4())}
    answer = page.post(reverse("sales:accounts"), typed)

    assert answer.status_code == 200
    assert 'value="The till"' in answer.content.decode()
    assert not AccountName.objects.exists()


def test_an_empty_journal_says_what_belongs_there(page):
    days = {"since": "2020-01-01", "until": "2020-12-31"}

    assert "Nothing to book" in page.get(reverse("sales:journal"), days).content.decode()
