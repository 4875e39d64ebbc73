"""Cost that no lot bears is in the conservation, the year sheet and the journal."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations
from inventory.models import Supply
from inventory.operations.supplies import buy, count_supply, undo_supply_entry
from inventory.queries.conservation import conservation
from sales.queries.journal import journal
from sales.queries.year import costs_by_month, in_all, year_rows
from tests.bill_scenes import FIRST, LAST, bill, house, lot_in, spaced
from tests.entering import as_grower
from tests.factories import NurseryFactory
from tests.ledger_figures import assert_conserved, report

pytestmark = pytest.mark.django_db


@pytest.fixture
def half_empty():
    """400 pots of 100 cm² in a house of ten square metres: six parts of ten stand empty."""
    spaced("#1", None)
    place = house("10.00")
    lot_in(place, 400, "A")
    return place


def sums() -> dict[str, Decimal]:
    found: dict[str, Decimal] = {}
    for entry in journal():
        for line in entry.lines():
            found[line.account] = found.get(line.account, 0) + line.debit - line.credit
    return {account: amount for account, amount in found.items() if amount}


def flow(category):
    return next(one for one in conservation().categories if one.category == category)


def test_unused_space_is_incurred_and_expensed(half_empty):
    bill("100.00", place=half_empty, unused="expense")

    heat = flow("heat")
    assert (heat.incurred, heat.in_stock, heat.expensed, heat.difference) == (100, 40, 60, 0)
    assert conservation(FIRST).total.incurred == 0, "its last day has not come then"
    assert sums() == {"stock": 40, "unused_space": 60, "from_heat": -100}


def test_an_undone_bill_leaves_nothing_behind(half_empty):
    entered = bill("100.00", place=half_empty, unused="expense")

    operations.undo_bill(bill=entered, request_id=uuid4())

    assert flow("heat").incurred == 0
    assert sums() == {}
    assert_conserved()


def test_supplies_missing_at_a_count_are_incurred_and_expensed():
    pots = Supply.objects.create(name="Pots", category="containers")
    facts = {"supply": pots, "on": FIRST}
    buy(quantity=Decimal(100), amount=Decimal(40), request_id=uuid4(), **facts)
    counted = count_supply(found=Decimal(90), request_id=uuid4(), **facts)

    found = flow("containers")
    assert (found.incurred, found.expensed, found.difference) == (4, 4, 0)
    assert sums()["supplies_missing"] == 4
    undo_supply_entry(entry=counted, request_id=uuid4())
    assert flow("containers").incurred == 0


def test_the_year_sheet_adds_up_with_what_no_lot_bears(half_empty):
    bill("100.00", place=half_empty, unused="expense")

    rows = year_rows(FIRST, LAST)

    total = in_all(rows)
    assert (total.cost_added, total.expensed, total.closing_cost) == (100, 60, 40)
    assert total.cost_difference == 0
    assert (rows[-1].plant, rows[-1].expensed) == (None, 60)
    assert sum(costs_by_month(FIRST, LAST)[FIRST].values()) == 100
    line = report("year", since=FIRST, on=LAST)[-1]
    assert (line["plant"], line["expensed"]) == ("", "60.000000")


def test_the_pages_show_it(half_empty, client):
    NurseryFactory()
    as_grower(client)
    bill("100.00", place=half_empty, unused="expense")
    days = {"since": FIRST.isoformat(), "until": LAST.isoformat()}

    shown = client.get(reverse("sales:year"), days).content.decode()

    assert "Unused space, missing supplies" in shown
    assert "does not add up" not in shown
    assert client.get(reverse("sales:year"), days | {"_export": "csv"}).status_code == 200
    assert client.get(reverse("sales:year-pdf"), days).status_code in (200, 503)
    assert client.get(reverse("sales:year"), days | {"cost-sort": "plant"}).status_code == 200
