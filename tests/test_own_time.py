"""The grower's own time: a cost of plants by itself, shown with them or without."""

from datetime import date
from decimal import Decimal
from importlib import import_module
from io import StringIO
from types import SimpleNamespace
from uuid import uuid4

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection
from django.urls import reverse

from inventory import operations
from inventory.costing.categories import CATEGORIES, PAID
from inventory.models import Batch, CostEntry, LotBalance, Person, WorkEntry
from inventory.operations.closing import close_period
from inventory.operations.rebuild import rebuild
from inventory.operations.spending import Work
from inventory.queries.batch_account import account_of
from inventory.queries.closings import closing_differences
from inventory.queries.proof import differences
from nursery.append_only import install, remove
from sales.ledger_file.exporting import export_ledger
from sales.queries.journal import journal
from sales.queries.price_page import price_sheet
from sales.queries.year import in_all, year_rows
from sales.reports import REPORTS
from tests.factories import DAY, NurseryFactory, UserFactory, give_price, lot_holding, sell_from

pytestmark = pytest.mark.django_db
OLD = import_module("inventory.migrations.0011_own_time_of_old_entries")


def person(name="I", rate="30", *, is_own=True) -> Person:
    return Person.objects.create(name=name, hourly_rate=Decimal(rate), is_own=is_own)


def worked(lot, who=None, minutes="60", on=DAY):
    work = [Work(who or person(), Decimal(minutes))]
    return operations.add_cost(lot=lot, uses=work, on=on, request_id=uuid4())


@pytest.fixture
def sold():
    """Ten plants that took 40.00 of medium, 20.00 of paid and 30.00 of own time; four sold."""
    lot = lot_holding(10, "L1", medium="40.00")
    worked(lot, person("Wren", "20", is_own=False))
    worked(lot)
    sell_from(lot, 4, "12.00")
    return lot


def test_own_time_flows_as_a_cost_of_its_own(sold):
    held = LotBalance.objects.get(lot=sold)

    assert (held.cost_own_time, held.cost_labour, held.cost) == (18, 12, 54)
    assert {row["category"]: row["amount"] for row in REPORTS["costs"]()} == {
        "medium": 24,
        "labour": 12,
        "own_time": 18,
    }


def test_undoing_own_work_gives_its_cost_back():
    lot = lot_holding(10)
    done = worked(lot)

    operations.reverse(operation=done, request_id=uuid4())

    assert LotBalance.objects.get(lot=lot).cost == 0
    assert sum(WorkEntry.objects.values_list("amount", flat=True)) == 0
    assert set(WorkEntry.objects.values_list("category", flat=True)) == {"own_time"}


def test_what_was_worked_keeps_its_category_when_the_person_changes(sold):
    Person.objects.filter(name="I").update(is_own=False)

    posted = {pair.account for entry in journal() for pair in entry.lines()}

    assert "from_own_time" in posted, "nobody was paid for it, so it is not in the time account"
    assert LotBalance.objects.get(lot=sold).cost_own_time == 18


def test_own_time_has_its_word_in_the_ledger_file(sold):
    out = StringIO()

    export_ledger(out)

    assert "2025-04-10,cost,L1,,,,,,,own_time,30.00," in out.getvalue()


def test_own_time_of_an_older_ledger_leaves_labour(sold):
    facts = ["inventory_costentry", "inventory_workentry"]
    remove(facts, connection)
    CostEntry.objects.filter(category="own_time").update(category="labour")
    WorkEntry.objects.update(category="labour")
    install(facts, connection)
    rebuild()
    close_period(last_day=date(2025, 5, 1), request_id=uuid4())
    assert LotBalance.objects.get().cost_own_time == 0

    OLD.move(apps, SimpleNamespace(connection=connection))

    held = LotBalance.objects.get()
    assert (held.cost_own_time, held.cost_labour) == (18, 12)
    assert [*differences(), *closing_differences()] == []


def test_reports_leave_own_time_out_when_asked(sold):
    """By hand: 90.00 in ten plants, 30.00 of it own time; four sold at 12.00 each."""
    both = {"with": {}, "without": {"counted": PAID}}
    found = {
        word: (
            REPORTS["margin"](**asked)[0]["margin"],
            REPORTS["lots"](**asked)[0]["unit_cost"],
            REPORTS["valuation"](**asked)[0]["cost"],
            REPORTS["year"](since=DAY, on=DAY, **asked)[0]["closing_cost"],
            sum(row["amount"] for row in REPORTS["costs"](**asked)),
        )
        for word, asked in both.items()
    }

    assert found == {"with": (12, 9, 54, 54, 54), "without": (24, 6, 36, 36, 36)}


def test_the_year_without_own_time_adds_up_too(sold):
    total = in_all(year_rows(DAY, DAY, PAID))

    assert (total.cost_added, total.cost_of_sales, total.closing_cost) == (60, 24, 36)
    assert total.cost_difference == 0


def test_the_proof_and_the_journal_always_count_all(sold):
    (row,) = REPORTS["conservation"](counted=PAID)

    assert (row["incurred"], row["difference"]) == (90, 0)
    assert REPORTS["journal"](counted=PAID) == REPORTS["journal"]()


def test_what_a_batch_earned_is_the_same_with_own_time_and_without(sold):
    batch = Batch.objects.get()

    with_it, without = account_of(batch), account_of(batch, PAID)

    assert (with_it.cost_in, without.cost_in) == (90, 60)
    assert (with_it.per_saleable, without.per_saleable) == (9, 6)
    assert with_it.earnings == without.earnings == -12, "48.00 brought, 60.00 paid"


PAGES = {
    "inventory:lot": ("$9.00", "$6.00"),
    "inventory:batch": ("$9.00", "$6.00"),
    "inventory:plant": ("$54.00", "$36.00"),
    "inventory:lot-list": ("$54.00", "$36.00"),
    "sales:margin": ("$12.00", "$24.00"),
    "sales:valuation": ("$54.00", "$36.00"),
    "sales:year": ("$54.00", "$36.00"),
}


def page_of(client, name, sold, query):
    keys = {"inventory:lot": sold.pk, "inventory:plant": sold.plant_id}
    keys["inventory:batch"] = Batch.objects.get().pk
    address = reverse(name, args=[keys[name]] if name in keys else [])
    return client.get(f"{address}?since=2025-01-01&until=2025-12-31{query}").content.decode()


@pytest.mark.parametrize("name", PAGES)
def test_each_page_of_costs_shows_them_with_own_time_or_without(client, sold, name):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))

    first, other = (page_of(client, name, sold, query) for query in ("", "&own_time=without"))

    assert PAGES[name][0] in first and "Leave own time out" in first
    assert PAGES[name][1] in other and "Count own time in" in other


def test_the_setting_says_what_pages_begin_with(client, sold):
    NurseryFactory(counts_own_time=False)
    client.force_login(UserFactory(is_superuser=True))

    first, other = (
        page_of(client, "sales:margin", sold, query) for query in ("", "&own_time=with")
    )

    assert "$24.00" in first and "$12.00" in other


def test_prices_are_held_against_the_cost_counted(sold):
    give_price(sold, "7")

    (counted,), (paid,) = (
        price_sheet(on=DAY, counted=counting).rows for counting in (CATEGORIES, PAID)
    )

    assert (counted.unit_cost, counted.is_below_cost) == (9, True)
    assert (paid.unit_cost, paid.is_below_cost) == (6, False)


def test_nobody_reads_of_own_time_where_none_was_entered(client):
    NurseryFactory()
    lot = lot_holding(10, medium="40.00")
    client.force_login(UserFactory(is_superuser=True))

    assert "own time" not in page_of(client, "inventory:lot", lot, "")


def test_the_report_command_knows_own_time(sold):
    out = StringIO()

    call_command("report", "margin", own_time="without", format="csv", stdout=out)

    assert "L1,4,48.000000,24.000000,24.000000" in out.getvalue()
