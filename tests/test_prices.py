"""The price list beside the costs, and the sales tax in force."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from sales import operations
from sales.models import Price, TaxRate
from sales.queries.price_page import price_rows
from sales.queries.prices import price_of, tax_rate_on
from tests.factories import NurseryFactory, PlantFactory, UserFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db
TODAY = date.today()


@pytest.fixture
def office(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def price(lot, amount, on=date(2025, 1, 1)):
    return operations.set_price(
        plant=lot.plant,
        container=lot.container,
        amount=Decimal(amount),
        on=on,
        request_id=uuid4(),
    )


def set_by_hand(client, lot, amount, **more):
    data = {
        "request_id": str(uuid4()),
        "plant": lot.plant_id,
        "container": lot.container_id,
        "amount": amount,
    } | more
    return client.post(reverse("sales:price-set"), data, follow=True)


def test_prices_ask_for_a_login(client):
    UserFactory()

    assert "login" in client.get(reverse("sales:prices")).url


def test_a_row_shows_price_cost_and_margin_of_the_price():
    lot = lot_holding(10, "L1", medium="30.00")
    lot_holding(30, "L2", plant=lot.plant, medium="10.00")
    price(lot, "4.00")

    (row,) = price_rows(on=TODAY)

    # 40.00 over 40 plants is 1.00 each; the margin is 3.00 of 4.00, three quarters.
    assert (row.unit_cost, row.margin, row.on_hand) == (1, 75, 40)
    assert not row.is_below_cost


def test_a_price_below_cost_is_warned_of(office):
    price(lot_holding(10, medium="50.00"), "4.99")

    page = office.get(reverse("sales:prices")).content.decode()

    assert "below cost" in page
    assert "price below what the plant costs" in page


def test_the_price_of_the_day_is_the_last_one_begun():
    lot = lot_holding(10)
    price(lot, "9.00", date(2025, 1, 1))
    price(lot, "11.00", date(2025, 6, 1))
    price(lot, "13.00", date(2099, 1, 1))

    (row,) = price_rows(on=TODAY)

    assert (row.amount, row.since) == (11, date(2025, 6, 1))


def test_a_price_is_set_and_put_back(office):
    lot = lot_holding(10)
    price(lot, "9.00")

    page = set_by_hand(office, lot, "12.50").content.decode()

    assert price_of(lot.plant, lot.container, TODAY) == Decimal("12.50")
    assert "$12.50 from now on." in page
    undo = reverse("sales:undo-price", args=[Price.objects.latest("pk").pk])
    assert undo in page
    office.post(undo)
    assert price_of(lot.plant, lot.container, TODAY) == Decimal("9.00")


def test_a_price_pressed_twice_is_set_once(office):
    lot, request_id = lot_holding(10), str(uuid4())

    for _ in range(2):
        set_by_hand(office, lot, "12.50", request_id=request_id)

    assert Price.objects.count() == 1


@pytest.mark.parametrize(
    "amount, reason",
    [
        ("ten", "is not an amount"),
        ("-1", "less than nothing"),
        ("9.999", "10.00 would be right"),
        ("", "required"),
    ],
)
def test_a_price_that_cannot_be_is_refused_and_kept(office, amount, reason):
    page = set_by_hand(office, lot_holding(10), amount).content.decode()

    assert reason in page and f'value="{amount}"' in page
    assert not Price.objects.exists()


def test_the_list_is_narrowed_by_container_and_plant(office):
    yew = lot_holding(5, "L1", plant=PlantFactory(name="Taxus ×media 'Hicksii'"))
    lot_holding(5, "L2", size="#3", plant=yew.plant)
    lot_holding(5, "L3")

    page = office.get(reverse("sales:prices"), {"container": "#1", "plant": "taxus x media"})

    assert [row.key for row, _ in page.context["rows"]] == [f"{yew.plant_id}-{yew.container_id}"]


def test_the_list_is_saved_as_a_file(office):
    price(lot_holding(10, medium="30.00"), "4.00")

    csv = office.get(reverse("sales:prices"), {"_export": "csv"}).content.decode()

    assert "Margin" in csv and "25" in csv


def test_prices_ask_a_steady_number_of_questions(office, django_assert_max_num_queries):
    for number in range(30):
        price(lot_holding(5, f"L{number}"), "4.00")

    with django_assert_max_num_queries(10):
        office.get(reverse("sales:prices"))


def tax(client, percent, **more):
    data = {
        "request_id": str(uuid4()),
        "percent": percent,
        "name": "Sales tax",
        "basis": "invoice",
        "on": "2025-01-01",
    } | more
    return client.post(reverse("sales:settings-tax"), data, follow=True)


def test_a_tax_rate_is_set_and_taken_back(office):
    page = tax(office, "6.25").content.decode()

    rate = tax_rate_on(TODAY)
    assert rate.percent == Decimal("6.25")
    assert "6.25%" in page and "Check with your tax authority" in page
    office.post(reverse("sales:undo-tax", args=[rate.pk]))
    assert tax_rate_on(TODAY) is None


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
    assert (document.tax, document.tax_percent) == (Decimal("0.04"), 5)


def test_prices_and_tax_are_closed_to_a_person_who_may_not_set_them(client):
    client.force_login(UserFactory())
    lot = lot_holding(5)

    assert set_by_hand(client, lot, "9").status_code == 403
    assert tax(client, "6").status_code == 403
    assert not Price.objects.exists() and not TaxRate.objects.exists()
