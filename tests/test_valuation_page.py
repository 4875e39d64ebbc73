"""The stock by each method, as the page and the report show it."""

import csv
import json
from datetime import timedelta
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from inventory.models import Lot
from tests.factories import DAY, NurseryFactory, PlantFactory, UserFactory, give_price, lot_holding

pytestmark = pytest.mark.django_db
URL = "sales:valuation"


@pytest.fixture
def page(client):
    client.force_login(UserFactory(is_superuser=True))
    return client


@pytest.fixture
def stock():
    """Ten that cost 4.00 and sell at 5.00, ten that cost 4.00 and sell at 3.00, ten unpriced."""
    NurseryFactory()
    for code, price in (("DEAR", "5.00"), ("CHEAP", "3.00"), ("NEW", None)):
        plant = PlantFactory(name=f"Ilex crenata '{code.capitalize()}'")
        lot = lot_holding(10, code, plant=plant, medium="40")
        if price:
            give_price(lot, price)


def shown(page, **query):
    return page.get(reverse(URL), query).content.decode()


def values(page, **query) -> dict[str, str]:
    answer = page.get(reverse(URL), query | {"_export": "csv"})
    rows = csv.DictReader(StringIO(answer.content.decode("utf-8-sig")))
    return {row["Plant"].split("'")[1]: row["Value, $"] for row in rows}


def test_at_cost_is_what_was_spent_and_asks_for_an_accountant(page, stock):
    text = shown(page)

    assert '<span class="amount">$120.00</span>' in text
    assert "for an accountant to decide" in text


def test_a_gain_on_one_plant_does_not_make_up_for_another(page, stock):
    text = shown(page, method="lower")

    assert '<span class="amount">$110.00</span>' in text
    assert "1 is worth less than its cost, by $10.00" in text
    assert "1 has no price that day" in text
    found = values(page, method="lower")
    assert {name: Decimal(value) for name, value in found.items()} == {
        "Cheap": 30,
        "Dear": 40,
        "New": 40,
    }


def test_costs_to_sell_and_complete_are_taken_off_one_by_one(page, stock):
    everywhere = {"method": "lower", "selling": "10", "complete": "0.50"}
    found = values(page, **everywhere)
    assert (Decimal(found["Dear"]), Decimal(found["Cheap"])) == (40, 22)

    dear = Lot.objects.get(code="DEAR")
    own = {f"complete-{dear.plant_id}-{dear.container_id}": "1.50"}
    assert Decimal(values(page, **everywhere | own)["Dear"]) == 30
    assert 'value="1.50"' in shown(page, **everywhere | own)


def test_the_farm_price_leaves_out_what_has_no_price_and_says_so(page, stock):
    text = shown(page, method="farm", selling="10")

    assert '<span class="amount">$72.00</span>' in text
    assert "left out of the sum; they have cost $40.00" in text
    assert values(page, method="farm", selling="10")["New"] == ""


def test_the_price_of_the_day_counts(page, stock):
    text = shown(page, method="lower", on=(DAY - timedelta(days=1)).isoformat())

    assert "Nothing was in stock on that day" in text


def test_an_amount_that_is_none_is_refused_and_kept(page, stock):
    text = shown(page, method="lower", complete="lots")

    assert "“lots” is not an amount" in text
    assert 'value="lots"' in text


def test_the_page_asks_few_questions(page, stock, django_assert_max_num_queries):
    with django_assert_max_num_queries(14):
        shown(page, method="lower")


def test_the_report_values_by_method_and_keeps_its_fields_at_cost(stock, capsys):
    call_command("report", "valuation", "--format=json")
    assert list(json.loads(capsys.readouterr().out)[0]) == ["lot", "on_hand", "cost"]

    call_command("report", "valuation", "--format=json", "--method=lower", "--selling=10")
    rows = {row["plant"].split("'")[1]: row for row in json.loads(capsys.readouterr().out)}
    assert rows["Cheap"]["value"] == "27.000000"
    assert rows["New"]["price"] is None

    with pytest.raises(CommandError, match="between 0 and 100"):
        call_command("report", "valuation", "--method=lower", "--selling=120")


def test_what_was_typed_for_a_plant_on_another_page_is_sent_along(page, stock):
    dear = Lot.objects.get(code="DEAR")
    name = f"complete-{dear.plant_id}-{dear.container_id}"

    text = page.get(reverse(URL), {"method": "lower", "page": "2", name: "1.50"}).content.decode()

    assert f'<input type="hidden" name="{name}" value="1.50">' in text
