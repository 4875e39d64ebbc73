"""Prices and article numbers: set, refused, undone, carried through the ledger file."""

from datetime import date, timedelta
from decimal import Decimal
from io import StringIO
from uuid import uuid4

import pytest
from django.urls import reverse

from sales import operations
from sales.errors import SaleRefused
from sales.ledger_file.exporting import export_ledger
from sales.ledger_file.importing import import_ledger
from sales.ledger_file.rows import RowError
from sales.models import ArticleNumber, Price
from sales.operations import NewNumber, NewPrice
from sales.queries.articles import article_numbers
from sales.queries.prices import PriceBook
from sales.reports import availability_report, prices_report
from tests.factories import DAY, NurseryFactory, UserFactory, give_price, lot_holding, sell_from

pytestmark = pytest.mark.django_db
# EX-56: GS1, check digit calculator, read: 629104150021 ends in 3.
GTIN = "6291041500213"


def set_numbers(lot, gtin, request_id=None):
    numbers = [NewNumber(lot.plant, lot.container, gtin)]
    return operations.set_article_numbers(numbers=numbers, on=DAY, request_id=request_id or uuid4())


@pytest.mark.parametrize(
    "amount, least, reason",
    [("-1", 1, "less than nothing"), ("9.999", 1, "10.00 would be right"), ("9", 0, "from 0")],
)
def test_one_wrong_price_leaves_the_whole_sheet_unwritten(amount, least, reason):
    lot = lot_holding(5)
    wrong = NewPrice(lot.plant, lot.container, Decimal(amount), least=least)
    right = NewPrice(lot.plant, lot.container, Decimal(5), list="wholesale")

    with pytest.raises(SaleRefused, match=reason):
        operations.set_prices(prices=[right, wrong], on=DAY, request_id=uuid4())

    assert not Price.objects.exists()


def test_prices_are_undone_once_and_only_those_of_the_request():
    lot, request_id = lot_holding(5), uuid4()
    give_price(lot, "9.00")
    price = NewPrice(lot.plant, lot.container, Decimal(11))
    operations.set_prices(prices=[price], on=DAY, request_id=request_id)

    undone = [operations.undo_prices(request_id=request_id) for _ in range(2)]

    assert undone == [1, 0]
    assert PriceBook().amount(lot.plant_id, lot.container_id) == 9


def test_a_number_is_kept_once_and_undone():
    lot, request_id = lot_holding(5), uuid4()

    first = set_numbers(lot, "629-1041-500213", request_id)
    again = set_numbers(lot, "629-1041-500213", request_id)

    assert first == again and article_numbers() == {(lot.plant_id, lot.container_id): GTIN}
    operations.undo_article_numbers(request_id=request_id)
    assert article_numbers() == {}


@pytest.mark.parametrize(
    "gtin, reason",
    [
        ("6291041500214", "check digit is 3"),
        ("62910", "8, 12, 13 or 14"),
        ("629104150021X", "8, 12, 13"),
    ],
)
def test_what_is_no_article_number_is_refused(gtin, reason):
    with pytest.raises(SaleRefused, match=reason):
        set_numbers(lot_holding(5), gtin)

    assert not ArticleNumber.objects.exists()


def test_two_articles_never_share_a_number():
    first, second = lot_holding(5), lot_holding(5, "L2")
    set_numbers(first, GTIN)

    with pytest.raises(SaleRefused, match="two articles"):
        set_numbers(second, GTIN)

    set_numbers(first, "")
    assert set_numbers(second, GTIN)


def test_a_line_keeps_the_number_it_was_sold_under():
    lot = lot_holding(5)
    set_numbers(lot, GTIN)

    line = sell_from(lot, 1).lines.get()

    set_numbers(lot, "")
    line.refresh_from_db()
    assert line.printed["gtin"] == GTIN


def test_numbers_are_typed_into_a_sheet(client):
    NurseryFactory()
    grower, helper = UserFactory(is_superuser=True), UserFactory()
    lot, url = lot_holding(5), reverse("sales:articles")
    data = {"request_id": str(uuid4()), f"gtin-{lot.plant_id}-{lot.container_id}": GTIN}
    assert "login" in client.get(url).url
    client.force_login(helper)
    assert client.post(url, data).status_code == 403

    client.force_login(grower)
    wrong = client.post(url, data | {f"gtin-{lot.plant_id}-{lot.container_id}": "123"})
    page = client.post(url, data, follow=True).content.decode()

    assert "it has 8, 12, 13 or 14 digits" in wrong.content.decode()
    assert "1 article number written down" in page and GTIN in page
    client.post(reverse("sales:undo-articles", args=[data["request_id"]]))
    assert article_numbers() == {}


def test_the_report_names_every_price_in_force():
    lot = lot_holding(10, medium="20.00")
    give_price(lot, "5.00")
    give_price(lot, "4.00", list="wholesale", least=10, grade="A", on=DAY + timedelta(1))

    stand, wholesale = prices_report()

    plant = {"plant": lot.plant.name, "container": "#1"}
    assert stand == plant | {
        "list": "stand",
        "grade": "",
        "from_quantity": 1,
        "price": 5,
        "since": DAY,
        "unit_cost": 2,
        "margin_percent": 60,
    }
    assert (wholesale["list"], wholesale["grade"], wholesale["from_quantity"]) == (
        "wholesale",
        "A",
        10,
    )
    assert availability_report()[0]["price"] == 5


def exported(tmp_path):
    out = StringIO()
    export_ledger(out)
    path = tmp_path / "ledger.csv"
    path.write_text(out.getvalue(), encoding="utf-8")
    return path


def forget_prices():
    Price.objects.all().delete()
    ArticleNumber.objects.all().delete()


def test_prices_and_numbers_survive_the_ledger_file(tmp_path):
    lot = lot_holding(10)
    set_numbers(lot, GTIN)
    give_price(lot, "5.00")
    give_price(lot, "4.00", list="wholesale", least=10, grade="A")
    give_price(lot, "3.00", list="landscaper")
    give_price(lot, None, list="landscaper", on=DAY + timedelta(1))
    path, before, numbers = exported(tmp_path), prices_report(), article_numbers()
    header, *rows = path.read_text().splitlines()
    alone = tmp_path / "prices.csv"
    kept = [row for row in rows if row.split(",")[1] in ("price", "article")]
    alone.write_text("\n".join([header, *kept]))

    forget_prices()
    import_ledger(alone)

    assert (prices_report(), article_numbers()) == (before, numbers)
    assert Price.objects.filter(amount=None).count() == 1


def test_a_file_without_grades_keeps_the_plain_columns(tmp_path):
    give_price(lot_holding(5), "5.00", list="wholesale", least=10)

    header, *_ = exported(tmp_path).read_text().splitlines()

    assert header.endswith("document,note")


@pytest.mark.parametrize(
    "cells, column", [("friends,,5", "treatment"), ("stand,0,5", "quantity"), ("stand,,", "price")]
)
def test_a_price_row_that_is_wrong_names_its_column(tmp_path, cells, column):
    path = tmp_path / "ledger.csv"
    path.write_text(
        "date,event,plant,container,treatment,quantity,price\n"
        f"2025-01-01,price,Buxus sempervirens,#1,{cells}\n"
    )

    with pytest.raises(RowError, match=f"line 2, column {column}"):
        import_ledger(path)


def test_the_price_of_a_past_day_stands_beside_the_cost_of_that_day():
    lot = lot_holding(10, medium="20.00")
    give_price(lot, "5.00")
    operations.undo_sale(document=sell_from(lot, 4), request_id=uuid4())

    assert [row["unit_cost"] for row in prices_report(on=DAY)] == [2]
    assert prices_report(on=date(2025, 1, 1)) == []
