"""The availability list: which plants are free to sell."""

import csv
from decimal import Decimal
from io import StringIO

import pytest

from tests.factories import NurseryFactory, PlantFactory, UserFactory, give_price, lot_holding

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


@pytest.fixture
def stock():
    yew = PlantFactory(name="Taxus ×media 'Hicksii'", common_name="Hicks yew")
    box = PlantFactory(name="Buxus 'Green Velvet'")
    give_price(lot_holding(12, "Y1", plant=yew), "21.25")
    lot_holding(8, "Y2", plant=yew)
    lot_holding(5, "Y3", plant=yew, size="#3")
    lot_holding(30, "B1", plant=box)
    lot_holding(70, "BT", plant=box, size="tray")


def test_the_list_asks_for_a_login(client):
    UserFactory()

    assert client.get("/availability/").status_code == 302


def test_one_container_is_answered_with_its_sum_its_kinds_and_its_lots(grower, stock):
    text = grower.get("/availability/", {"container": "#1"}).content.decode()

    assert "Which #1 plants are free to sell?" in text
    assert '<span class="amount">50</span> <span class="words">#1 plants of 2 kinds' in text
    assert "21.25" in text
    assert "no price yet" in text
    for code, is_there in (("Y1", True), ("Y2", True), ("Y3", False), ("BT", False)):
        assert (f'<b class="code">{code}</b>' in text) is is_there


@pytest.mark.parametrize("typed", ["hicksii", "taxus x media", "Taxus ×media 'Hicksii'"])
def test_a_plant_is_found_however_it_is_spelt(grower, stock, typed):
    text = grower.get("/availability/", {"plant": typed}).content.decode()

    assert "Hicksii" in text
    assert "Green Velvet" not in text


def test_a_name_that_is_not_there_says_what_to_try(grower, stock):
    text = grower.get("/availability/", {"plant": "rhubarb"}).content.decode()

    assert "Nothing with that name is free" in text
    assert 'value="rhubarb"' in text


def test_the_list_is_a_file_without_the_lots_of_each_line(grower, stock):
    answer = grower.get("/availability/", {"container": "#1", "_export": "csv"})

    head, *rows = csv.reader(StringIO(answer.content.decode("utf-8-sig")))
    assert "Lots" not in head
    by_plant = {row[head.index("Plant")]: row for row in rows}
    yew = by_plant["Taxus ×media 'Hicksii'"]
    assert yew[head.index("Available")] == "20"
    assert Decimal(yew[head.index("Price each, $")]) == Decimal("21.25")


def test_the_list_to_print_is_one_page(grower):
    for number in range(30):
        lot_holding(1, f"P{number}")

    usual = grower.get("/availability/").content.decode()
    whole = grower.get("/availability/", {"per_page": 100_000}).content.decode()

    assert usual.count("'Bench") == 25
    assert whole.count("'Bench") == 30


def test_the_list_asks_the_database_no_more_for_many_plants(grower, django_assert_max_num_queries):
    for number in range(20):
        lot_holding(1, f"P{number}")

    with django_assert_max_num_queries(11):
        grower.get("/availability/")
