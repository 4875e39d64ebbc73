"""The books: margin, losses, what the stock has cost, and the proof of it all."""

import csv
from datetime import date
from decimal import Decimal
from io import StringIO
from uuid import uuid4

import pytest

from inventory import operations
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    UserFactory,
    cause,
    lot_holding,
    sell_from,
)

pytestmark = pytest.mark.django_db
WAYS = ("plant", "container", "lot", "batch", "sale", "buyer", "channel", "month")
PAGES = ("", "margin/", "losses/", "valuation/", "conservation/")


@pytest.fixture
def grower(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


@pytest.fixture
def season():
    """Ten plants for 40.00: 4.00 each. Three sold at 10.00, one killed beyond expectation."""
    lot = lot_holding(10, plant=PlantFactory(name="Ilex crenata 'Helleri'"), medium="40.00")
    sell_from(lot, 3, "10.00", on=date(2025, 5, 1))
    loss = operations.Loss(lot, 1, cause("winter"), "abnormal")
    operations.write_off(losses=[loss], on=date(2025, 5, 20), request_id=uuid4())
    return lot


def text_of(client, page, **query):
    return client.get(f"/books/{page}", query).content.decode()


@pytest.mark.parametrize("page", PAGES)
def test_the_books_ask_for_a_login(client, page):
    UserFactory()

    assert client.get(f"/books/{page}").status_code == 302


@pytest.mark.parametrize("page", PAGES)
def test_the_books_of_an_empty_ledger_can_be_read(grower, page):
    assert grower.get(f"/books/{page}").status_code == 200


# Margin as a share of the price, as in EX-29 and EX-30 of the trade's price arithmetic:
# 30.00 − 12.00 = 18.00, which is 60 percent of the price.
@pytest.mark.parametrize(
    "by", ["plant", "container", "lot", "batch", "sale", "buyer", "channel", "month"]
)
def test_the_margin_is_price_less_cost_however_it_is_grouped(grower, season, by):
    text = text_of(grower, "margin/", by=by)

    assert '<span class="amount">$18.00</span>' in text
    answer = grower.get("/books/margin/", {"by": by, "_export": "csv"})
    head, row = csv.reader(StringIO(answer.content.decode("utf-8-sig")))
    figures = dict(zip(head, row, strict=True))
    assert Decimal(figures["Revenue, $"]) == 30
    assert Decimal(figures["Cost of sales, $"]) == 12
    assert Decimal(figures["% of price"]) == 60


def test_a_sale_in_the_margin_leads_to_its_paper_and_says_who_bought(grower, season):
    paper = sell_from(season, 1, buyer=BuyerFactory(name="Orla Finch"), on=date(2025, 6, 3))

    text = text_of(grower, "margin/", by="sale")

    assert f'<a href="/invoices/{paper.pk}/">{paper.number}</a>' in text
    assert "Orla Finch, 3 Jun 2025" in text
    assert "walk-in, 1 May 2025" in text


def test_the_margin_of_a_way_of_selling_is_drawn_in_words(grower, season):
    sell_from(season, 1, buyer=BuyerFactory(kind="trade"), on=date(2025, 6, 3))

    picture = grower.get("/books/margin/chart.svg", {"by": "channel"}).content.decode()

    assert "<!-- to the trade -->" in picture
    assert "<!-- at the stand -->" in picture


def test_the_margin_covers_the_days_asked_for(grower, season):
    sell_from(season, 1, "10.00", on=date(2025, 6, 1))

    text = text_of(grower, "margin/", since="2025-06-01", until="2025-06-30")

    assert '<span class="amount">$6.00</span>' in text


def test_days_the_wrong_way_round_are_refused_and_kept(grower, season):
    text = text_of(grower, "margin/", since="2025-06-01", until="2025-05-01")

    assert "This is before 2025-06-01" in text
    assert 'value="2025-05-01"' in text


CHARTS = ("margin/chart.svg", "losses/chart.svg?by=cause", "losses/chart.svg?by=month")


@pytest.mark.parametrize("chart", CHARTS)
def test_a_chart_is_a_picture_even_with_nothing_to_draw(grower, chart):
    answer = grower.get(f"/books/{chart}")

    assert answer["Content-Type"] == "image/svg+xml"
    assert b"</svg>" in answer.content


@pytest.mark.parametrize("chart", CHARTS)
def test_a_chart_for_a_phone_is_narrower(grower, season, chart):
    wide = grower.get(f"/books/{chart}")
    narrow = grower.get(f"/books/{chart}{'&' if '?' in chart else '?'}narrow=1")

    assert b'width="720pt"' in wide.content
    assert b'width="360pt"' in narrow.content


def test_the_losses_tell_expected_from_beyond_and_what_was_expensed(grower, season):
    text = text_of(grower, "losses/")

    assert '<span class="amount">1</span> <span class="words">plant lost' in text
    assert "$4.00 of cost went with the losses" in text
    assert "Ilex crenata" in text


def test_the_losses_can_be_narrowed_to_one_cause(grower, season):
    assert "Nothing was lost in these days" in text_of(grower, "losses/", cause="pest")
    assert "Nothing was lost" not in text_of(grower, "losses/", cause="winter")


@pytest.mark.parametrize(("on", "cost", "plants"), [("2025-04-30", "40.00", 10), ("", "24.00", 6)])
def test_the_stock_has_cost_what_was_entered_less_what_left(grower, season, on, cost, plants):
    text = text_of(grower, "valuation/", on=on)

    assert f'<span class="amount">${cost}</span>' in text
    assert f"in {plants} plants" in text
    assert "for an accountant to decide" in text


def test_every_plant_and_every_cost_is_accounted_for(grower, season):
    text = text_of(grower, "conservation/")

    assert '<span class="amount">Yes</span>' in text
    for head, amount in (
        ("Incurred", "40.00"),
        ("In stock", "24.00"),
        ("Cost of sales", "12.00"),
        ("Expensed", "4.00"),
        ("Difference", "0"),
    ):
        assert f'data-label="{head}">{amount}</td>' in text


def test_a_balance_changed_behind_the_ledgers_back_shows(grower, season):
    season.balance.__class__.objects.update(on_hand=7)

    assert '<span class="amount">No</span>' in text_of(grower, "conservation/")


@pytest.mark.parametrize("page", PAGES)
def test_the_books_ask_the_database_no_more_for_many_lots(
    grower, django_assert_max_num_queries, page
):
    for number in range(30):
        lot = lot_holding(10, f"L{number}", medium="40.00")
        sell_from(lot, 1)
        loss = operations.Loss(lot, 1, cause("winter"))
        operations.write_off(losses=[loss], on=date(2025, 5, 20), request_id=uuid4())

    with django_assert_max_num_queries(10):
        grower.get(f"/books/{page}")
