"""The availability list for a buyer: one set of lines in every form."""

import csv
import json
from datetime import timedelta
from decimal import Decimal
from io import BytesIO, StringIO
from uuid import uuid4

import pytest
from django.utils import timezone
from openpyxl import load_workbook
from pypdf import PdfReader

from sales import operations
from tests.entering import as_grower
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    UserFactory,
    give_price,
    lot_holding,
)

pytestmark = pytest.mark.django_db
PAGE = "/availability/list/"
FORMULA = "=1+1"


@pytest.fixture
def grower(client):
    NurseryFactory(phone="555 0100")
    return as_grower(client)


@pytest.fixture
def stock():
    """Yews in two sizes, box, and some yews more that still grow."""
    yew = PlantFactory(name="Taxus ×media 'Hicksii'", common_name="Hicks yew", poisonous="Seeds.")
    box = PlantFactory(name="Buxus 'Green Velvet'")
    first = lot_holding(12, "Y1", plant=yew)
    give_price(first, "21.25")
    give_price(first, "17.00", list="landscaper")
    lot_holding(5, "Y3", plant=yew, size="#3")
    lot_holding(30, "B1", plant=box)
    later = lot_holding(8, "Y2", plant=yew)
    later.ready_on = timezone.localdate() + timedelta(days=60)
    later.save()
    return later


def rows_of(client, **query):
    answer = client.get("/availability/list.json", query)
    return json.loads(answer.content)


def as_csv(client, **query):
    text = client.get("/availability/list.csv", query).content.decode("utf-8-sig")
    return list(csv.DictReader(StringIO(text)))


def pdf_text(client, **query):
    content = client.get("/availability/list.pdf", query).content
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)


@pytest.mark.parametrize("address", [PAGE, "/availability/list.csv", "/availability/list.txt"])
def test_the_list_asks_for_a_login(client, address):
    UserFactory()

    assert client.get(address).status_code == 302


def test_a_landscaper_sees_the_prices_of_their_list(grower, stock):
    buyer = BuyerFactory()
    page = grower.get(PAGE, {"buyer": buyer.pk}).content.decode()
    prices = {row["price"] for row in rows_of(grower, buyer=buyer.pk)}

    assert "those of the landscaper list" in page
    assert prices == {"17.000000", None}
    assert {row["price"] for row in rows_of(grower)} == {"21.250000", None}
    assert "price" not in rows_of(grower, first="container", columns=["grade"])[0]


def test_every_form_has_the_same_lines(grower, stock):
    asked = {"container": "#1"}
    sheet = load_workbook(BytesIO(grower.get("/availability/list.xlsx", asked).content)).active
    found = [
        [(row["plant"], row["available"]) for row in rows_of(grower, **asked)],
        [(row["Plant"], int(row["Available"])) for row in as_csv(grower, **asked)],
        [(row[0].value, row[4].value) for row in sheet.iter_rows(min_row=2)],
    ]

    expected = [("Buxus 'Green Velvet'", 30), ("Taxus ×media 'Hicksii'", 12)]
    assert found == [[*expected, ("Taxus ×media 'Hicksii'", 8)]] * 3
    assert sheet["G3"].value == Decimal("21.25") and sheet["F4"].value.date() == stock.ready_on
    text = grower.get("/availability/list.txt", asked).content.decode()
    assert "- Buxus 'Green Velvet', 30, now\n" in text
    assert "- Taxus ×media 'Hicksii', 12, now, USD 21.25\n" in text
    assert "8, Ready from" in text


def test_without_ready_dates_only_ready_plants_are_on_it(grower, stock):
    lines = rows_of(grower, first="container", columns=["available"], container="#1")

    assert [line["available"] for line in lines] == [30, 12]


def test_by_plant_first_the_sizes_of_a_plant_stand_together(grower, stock):
    by_plant = [(line["plant"][:5], line["container"]) for line in rows_of(grower, first="plant")]
    by_size = [line["container"] for line in rows_of(grower, first="container")]

    assert by_plant == [("Buxus", "#1"), ("Taxus", "#1"), ("Taxus", "#3")]
    assert by_size == ["#1", "#1", "#3"]


@pytest.mark.parametrize(
    ("numbers", "said"),
    [("exact", [30, 12, 5]), ("capped", ["10+", "10+", 5]), ("yes", ["yes"] * 3)],
)
def test_a_buyer_is_told_as_much_of_numbers_as_is_chosen(grower, stock, numbers, said):
    lines = rows_of(grower, first="container", columns=["available"], numbers=numbers)

    assert [line["available"] for line in lines] == said


def test_the_paper_speaks_the_buyers_language_and_warns_of_poison(grower, stock):
    buyer = BuyerFactory(language="de", country="DE")
    text = pdf_text(grower, buyer=buyer.pk)

    assert "Verfügbarkeitsliste" in text
    assert "Zwischenverkauf vorbehalten" in text
    assert "17,00" in text
    assert "Bitte beachten" in text or "Seeds." in text
    assert buyer.name in text


def test_held_plants_are_on_no_list(grower, stock):
    wanted = operations.Wanted(stock.plant, stock.container, 4)
    today = timezone.localdate()
    operations.hold(
        buyer=BuyerFactory(), wanted=[wanted], on=today, until=today, request_id=uuid4()
    )

    assert [row["available"] for row in rows_of(grower, container="#1")] == [30, 8, 8]


def test_a_name_like_a_formula_is_no_formula_and_a_tag_is_no_tag(grower):
    lot_holding(3, plant=PlantFactory(name=FORMULA))
    lot_holding(3, "L2", plant=PlantFactory(name="</textarea><script>alert(1)</script>"))
    sheet = load_workbook(BytesIO(grower.get("/availability/list.xlsx").content)).active
    page = grower.get(PAGE).content.decode()

    assert {row[0].data_type for row in sheet.iter_rows()} == {"s"}
    assert f"'{FORMULA}" in {row["Plant"] for row in as_csv(grower)}
    assert "<script>alert" not in page


def test_what_makes_no_sense_is_not_chosen(grower, stock):
    asked = {"first": "colour", "numbers": "some", "container": "bucket", "buyer": "x"}

    assert grower.get(PAGE, asked).status_code == 200
    assert grower.get("/availability/list.doc").status_code == 404
    assert len(rows_of(grower, **asked, columns="price")) == 3


def test_an_empty_list_says_so(grower):
    assert "Nothing is on this list" in grower.get(PAGE).content.decode()
    assert "Nothing is ready" in grower.get("/availability/list.txt").content.decode()
    assert rows_of(grower) == []


def test_the_list_asks_no_more_for_many_plants(grower, django_assert_max_num_queries):
    for number in range(20):
        lot_holding(1, f"P{number}")

    with django_assert_max_num_queries(16):
        grower.get(PAGE)
