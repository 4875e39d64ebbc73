"""The price list beside the costs, and the sales tax in force."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from sales.models import Price, TaxRate
from sales.queries.price_page import price_lines, price_sheet
from sales.queries.prices import PriceBook
from sales.queries.taxes import tax_on_day
from tests.factories import (
    NurseryFactory,
    PlantFactory,
    UserFactory,
    give_price,
    lot_holding,
    sell_from,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def sheet_of(client, **query):
    return client.get(reverse("sales:prices"), query, follow=True)


def field(lot, least=1, grade=""):
    return f"{lot.plant_id}-{lot.container_id}-{least}-{grade}"


def type_in(client, cells, query="", **more):
    """Save a sheet with these {(lot, least): price} typed over what it shows."""
    data = {"request_id": str(uuid4())} | more
    for (lot, least), text in cells.items():
        data[f"p-{field(lot, least)}"] = text
    return client.post(f"{reverse('sales:prices')}{query}", data, follow=True)


def quoted(lot, **more):
    quote = PriceBook(date.today()).quote(lot.plant_id, lot.container_id, **more)
    return quote and (quote.amount, quote.reason)


def test_prices_ask_for_a_login(client):
    UserFactory()

    assert "login" in client.get(reverse("sales:prices")).url


def test_a_row_shows_price_and_cost():
    lot = lot_holding(10, "L1", medium="30.00")
    lot_holding(30, "L2", plant=lot.plant, medium="10.00")
    give_price(lot, "4.00")

    (row,) = price_sheet(on=date.today()).rows
    (line,) = price_lines()

    # 40.00 over 40 plants is 1.00 each; the margin is 3.00 of 4.00, three quarters.
    assert (row.unit_cost, row.on_hand, row.lowest) == (1, 40, 4)
    assert (line.margin_percent, row.is_below_cost) == (75, False)


def test_a_price_below_cost_is_warned_of(office):
    give_price(lot_holding(10, medium="50.00"), "4.99")

    page = sheet_of(office).content.decode()

    assert "below cost" in page
    assert "price below what the plant costs" in page


def test_the_price_of_the_day_is_the_last_one_begun():
    lot = lot_holding(10)
    for amount, on in (("9.00", "2025-01-01"), ("11.00", "2025-06-01"), ("13.00", "2099-01-01")):
        give_price(lot, amount, on=date.fromisoformat(on))

    (line,) = price_lines(date.today())

    assert (line.price, line.since) == (11, date(2025, 6, 1))


def test_many_prices_are_saved_at_once_and_put_back_at_once(office):
    first, second = lot_holding(10), lot_holding(10, "L2")
    give_price(first, "9.00")

    page = type_in(office, {(first, 1): "12.50", (second, 1): "8"}).content.decode()

    assert "2 prices on the stand list set" in page
    assert (quoted(first)[0], quoted(second)[0]) == (Decimal("12.50"), 8)
    undo = reverse("sales:undo-prices", args=[Price.objects.latest("pk").request_id])
    assert undo in page
    office.post(undo)
    assert (quoted(first)[0], quoted(second)) == (9, None)


def test_a_sheet_pressed_twice_is_saved_once(office):
    lot, request_id = lot_holding(10), str(uuid4())

    for _ in range(2):
        page = type_in(office, {(lot, 1): "12.50"}, request_id=request_id)

    assert Price.objects.count() == 1
    assert "saved already" in page.content.decode()


def test_only_what_was_changed_on_the_sheet_is_written(office):
    lot, other = lot_holding(10), lot_holding(10, "L2")
    give_price(lot, "9.00")
    give_price(lot, "11.00", on=date.today())

    # The sheet was opened when 9.00 was in force; its cell was left as it stood.
    shown = {f"s-{field(lot)}": "9.00", f"s-{field(other)}": ""}
    type_in(office, {(lot, 1): "9.00", (other, 1): "5.00"}, **shown)

    assert (quoted(lot)[0], quoted(other)[0]) == (11, 5)


def test_an_emptied_cell_ends_the_price(office):
    lot = lot_holding(10)
    give_price(lot, "8.50", list="landscaper")

    type_in(office, {(lot, 1): ""}, "?list=landscaper")

    assert quoted(lot, on_list="landscaper") is None


def test_a_new_column_sets_a_price_for_a_larger_number(office):
    lot = lot_holding(10)
    give_price(lot, "9.00")

    type_in(office, {(lot, "new"): "8.50"}, "?more=yes", new_least="10")

    assert quoted(lot, number=9) == (9, "stand list")
    assert quoted(lot, number=10) == (Decimal("8.50"), "stand list, from 10")


@pytest.mark.parametrize(
    "number, reason", [("", "from how many"), ("1", "greater than"), ("x", "whole")]
)
def test_a_new_column_needs_a_number(office, number, reason):
    page = type_in(office, {(lot_holding(5), "new"): "8.5"}, "?more=yes", new_least=number)

    assert reason in page.content.decode() and 'value="8.5"' in page.content.decode()
    assert not Price.objects.exists()


@pytest.mark.parametrize(
    "amount, reason",
    [
        ("ten", "is not an amount"),
        ("-1", "less than nothing"),
        ("9.999", "10.00 would be right"),
        ("", "No price was changed"),
    ],
)
def test_a_price_that_cannot_be_is_refused_and_kept(office, amount, reason):
    page = type_in(office, {(lot_holding(10), 1): amount}).content.decode()

    assert reason in page and f'value="{amount}"' in page
    assert not Price.objects.exists()


def test_a_raise_is_shown_before_it_is_saved(office):
    lot = lot_holding(10)
    give_price(lot, "12.00")

    page = sheet_of(office, percent="5", ending=".95").content.decode()

    # 12.00 and 5 percent are 12.60; the nearest ending in .95 is 12.95.
    assert 'value="12.95"' in page and "was 12.00" in page and "1 price would change" in page
    assert quoted(lot)[0] == 12


def test_a_list_begins_from_the_stands_prices(office):
    give_price(lot_holding(10), "12.00")

    page = sheet_of(office, list="landscaper", percent="-15").content.decode()

    assert 'value="10.20"' in page


def test_one_price_fills_all_of_a_container_that_have_none(office):
    give_price(lot_holding(10), "12.00")
    lot_holding(10, "L2")
    lot_holding(10, "L3", size="#3")

    sheet = sheet_of(office, container="#1", each="9.50")

    changed = {cell.text for cell in sheet.context["form"].changed}
    assert changed == {"9.50"} and len(sheet.context["form"].changed) == 1
    assert "1 price would change" in sheet.content.decode()


def test_the_price_a_margin_needs_stands_beside_the_cost(office):
    give_price(lot_holding(10, medium="10.00"), "1.20")

    page = sheet_of(office, margin="20").content.decode()
    filled = sheet_of(office, margin="20", ending=".50", fill="on").content.decode()

    # EX-29, Penn State Extension, Power of Pricing: 1.00 at 20 percent is 1.25, not 1.20.
    assert "For 20%" in page and "1.25" in page
    assert 'value="1.50"' in filled


def test_the_list_is_narrowed_by_container_and_plant(office):
    yew = lot_holding(5, "L1", plant=PlantFactory(name="Taxus ×media 'Hicksii'"))
    lot_holding(5, "L2", size="#3", plant=yew.plant)
    lot_holding(5, "L3")

    page = sheet_of(office, container="#1", plant="taxus x media")

    assert [row.key for row in page.context["sheet"].rows] == [(*yew_key(yew), "")]


def yew_key(lot):
    return lot.plant_id, lot.container_id


def test_the_list_is_saved_as_a_file(office):
    give_price(lot_holding(10, medium="30.00"), "4.00")

    csv = office.get(reverse("sales:prices"), {"_export": "csv"}).content.decode()

    assert "Margin" in csv and "25" in csv and "stand" in csv


def test_prices_ask_a_steady_number_of_questions(office, django_assert_max_num_queries):
    for number in range(30):
        give_price(lot_holding(5, f"L{number}"), "4.00")

    with django_assert_max_num_queries(12):
        office.get(reverse("sales:prices"), {"request": str(uuid4())})


def tax(client, percent, **more):
    data = {
        "request_id": str(uuid4()),
        "percent": percent,
        "name": "Sales tax",
        "kind": "standard",
        "basis": "invoice",
        "on": "2025-01-01",
    } | more
    return client.post(reverse("sales:settings-tax"), data, follow=True)


def test_a_tax_rate_is_set_and_taken_back(office):
    page = tax(office, "6.25").content.decode()

    rate = tax_on_day(date.today()).latest
    assert rate.percent == Decimal("6.25")
    assert "6.25%" in page and "Check with your tax authority" in page
    office.post(reverse("sales:undo-tax", args=[rate.pk]))
    assert not tax_on_day(date.today()).is_any


def test_a_tax_rate_pressed_twice_is_one_rate(office):
    tax(office, "6.25")
    tax(office, "6.25")

    assert TaxRate.objects.count() == 1


@pytest.mark.parametrize("percent", ["101", "-1", "six", "6.12345"])
def test_a_percent_that_cannot_be_is_refused_and_kept(office, percent):
    page = tax(office, percent).content.decode()

    assert "Nothing was saved yet" in page and f'value="{percent}"' in page
    assert not TaxRate.objects.exists()


def test_issued_documents_keep_their_tax(office):
    tax(office, "5")
    document = sell_from(lot_holding(5), 1, "0.70")

    tax(office, "50")

    document.refresh_from_db()
    # 5 percent of 0.70 is 0.035, half-up 0.04.
    assert (document.tax, document.taxes.get().percent) == (Decimal("0.04"), 5)


def test_prices_and_tax_are_closed_to_a_person_who_may_not_set_them(client):
    client.force_login(UserFactory())
    lot = lot_holding(5)

    assert type_in(client, {(lot, 1): "9"}).status_code == 403
    assert tax(client, "6").status_code == 403
    assert not Price.objects.exists() and not TaxRate.objects.exists()
