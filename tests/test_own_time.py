"""The grower's own time: a cost of plants by itself, shown with them or without."""

from datetime import date
from decimal import Decimal
from importlib import import_module
from io import StringIO
from types import SimpleNamespace
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import connection

from inventory import operations
from inventory.models import CostEntry, LotBalance, Person, WorkEntry
from inventory.operations.closing import close_period
from inventory.operations.rebuild import rebuild
from inventory.operations.spending import Work
from inventory.queries.closings import closing_differences
from inventory.queries.proof import differences
from nursery.append_only import install, remove
from sales.ledger_file.exporting import export_ledger
from sales.queries.journal import journal
from sales.reports import REPORTS
from tests.factories import DAY, lot_holding, sell_from

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
