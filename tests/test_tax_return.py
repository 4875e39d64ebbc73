"""What was taxed by jurisdiction, ready for a return."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from sales import operations
from sales.models import TaxRate
from sales.queries.tax_return import all_tax, tax_return
from sales.reports import REPORTS
from tests.factories import DAY, BuyerFactory, NurseryFactory, UserFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db
LATER = DAY + timedelta(days=5)


@pytest.fixture
def places():
    NurseryFactory()
    for place, percent in (("State", "5.75"), ("Alder County", "1.5")):
        TaxRate.objects.create(
            jurisdiction=place, percent=Decimal(percent), valid_from=date(2020, 1, 1)
        )


def figures(since=DAY, until=LATER):
    return [(row.jurisdiction, row.base, row.tax) for row in tax_return(since, until)]


def test_each_place_has_its_part_and_the_parts_add_up(places):
    """EX-50, derived from SSUTA section 324: 3.10 bears 0.22 at 5.75 and 1.5 percent together."""
    sell_from(lot_holding(5), 1, "3.10")

    rows = tax_return(DAY, DAY)

    assert all_tax(rows) == Decimal("0.22")
    assert [(row.jurisdiction, row.base, row.percent) for row in rows] == [
        ("Alder County", Decimal("3.10"), Decimal("1.5")),
        ("State", Decimal("3.10"), Decimal("5.75")),
    ]


def test_a_credit_note_comes_off_in_its_own_days(places):
    lot = lot_holding(20)
    document = sell_from(lot, 4, "100.00", buyer=BuyerFactory())
    back = {"plants": [(lot, 1)], "on": LATER, "restock": True}
    operations.take_back(document=document, request_id=uuid4(), **back)

    hundred = Decimal(100)
    assert figures(until=DAY) == [("Alder County", 4 * hundred, 6), ("State", 4 * hundred, 23)]
    assert figures(since=LATER) == [
        ("Alder County", -hundred, Decimal("-1.5")),
        ("State", -hundred, Decimal("-5.75")),
    ]
    assert figures() == [
        ("Alder County", 3 * hundred, Decimal("4.5")),
        ("State", 3 * hundred, Decimal("17.25")),
    ]


def test_a_cancelled_sale_is_not_taxed(places):
    document = sell_from(lot_holding(5), 1)
    operations.undo_sale(document=document, request_id=uuid4())

    assert figures() == []


def test_the_report_equals_the_documents(places):
    document = sell_from(lot_holding(5), 3, "9.99")

    rows = REPORTS["tax"](since=DAY, on=DAY)

    assert [*rows[0]] == ["jurisdiction", "name", "category", "percent", "base", "tax"]
    assert sum(row["tax"] for row in rows) == document.tax


def test_the_page_the_paper_and_the_file(places, client):
    sell_from(lot_holding(5), 1, "3.10")
    days = {"since": DAY.isoformat(), "until": DAY.isoformat()}
    client.force_login(UserFactory())

    page = client.get(reverse("sales:taxed"), days).content.decode()

    assert "$0.22" in page and "Alder County" in page and "tax authority" in page
    assert client.get(reverse("sales:taxed-pdf"), days).status_code in (200, 503)
    file = client.get(reverse("sales:taxed"), days | {"_export": "csv"}).content.decode()
    assert "Alder County" in file
    empty = client.get(reverse("sales:taxed"), {"until": "2019-12-31"})
    assert b"Nothing was sold" in empty.content


def test_the_figures_ask_for_a_login(client):
    UserFactory()

    assert "login" in client.get(reverse("sales:taxed")).url
    assert "login" in client.get(reverse("sales:taxed-pdf")).url
