"""Which price a sale takes: by buyer, grade, number and day, and why."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Lot, Nursery
from sales import operations
from sales.errors import SaleRefused
from sales.models import Document
from sales.operations import Item
from sales.queries.prices import SalePrices
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    UserFactory,
    container,
    give_price,
    lot_holding,
)

pytestmark = pytest.mark.django_db
SELL = "/sell/"


@pytest.fixture
def yews():
    """Forty yews: 14.00 at the stand, 12.00 for landscapers and 8.50 from ten of them."""
    NurseryFactory()
    lot = lot_holding(40, medium="200.00")
    give_price(lot, "14.00")
    give_price(lot, "12.00", list="landscaper")
    give_price(lot, "8.50", list="landscaper", least=10)
    return lot


@pytest.fixture
def stand(client, yews):
    client.force_login(UserFactory(is_superuser=True))
    return client


def sold(lot, quantity, buyer=None, *more, on=DAY, note=""):
    items = [Item(lot.plant, lot.container, quantity), *more]
    document = operations.sell(items=items, on=on, buyer=buyer, note=note, request_id=uuid4())
    return [(row.quantity, row.unit_price, row.price_reason) for row in document.lines.all()]


@pytest.mark.parametrize(
    "kind, chosen, price, reason",
    [
        ("landscaper", "", 12, "landscaper list"),
        ("trade", "", 14, "stand list (not on the wholesale list)"),
        ("garden", "", 14, "stand list"),
        ("garden", "landscaper", 12, "landscaper list"),
    ],
)
def test_a_buyer_pays_by_the_list_of_its_kind_or_its_own(yews, kind, chosen, price, reason):
    buyer = BuyerFactory(kind=kind, price_list=chosen)

    assert sold(yews, 2, buyer) == [(2, price, reason)]


@pytest.mark.parametrize("number, price", [(9, "12.00"), (10, "8.50"), (11, "8.50")])
def test_a_price_from_ten_begins_at_ten(yews, number, price):
    ((_, found, _),) = sold(yews, number, BuyerFactory())

    assert found == Decimal(price)


@pytest.mark.parametrize("counted, price", [("line", 12), ("sale", Decimal("8.50"))])
def test_the_number_counts_one_plant_or_all_of_the_container(yews, counted, price):
    Nursery.objects.update(counted_for_price=counted)
    other = lot_holding(9, "L2")
    give_price(other, "3.00")

    lines = sold(yews, 4, BuyerFactory(), Item(other.plant, other.container, 6))

    assert lines[0][1] == price


def test_a_grade_has_its_own_price_and_the_line_says_so(yews):
    Lot.objects.filter(pk=yews.pk).update(grade="A")
    second = lot_holding(5, "L2", plant=yews.plant, on=date(2025, 1, 1))
    give_price(yews, "20.00", grade="A")

    assert sold(yews, 7) == [(5, 14, "stand list"), (2, 20, "stand list, grade A")]
    assert second.grade == ""


def test_a_sale_takes_the_price_of_its_day(yews):
    give_price(yews, "15.00", on=date(2025, 5, 1))

    assert sold(yews, 1, on=date(2025, 4, 30))[0][1] == 14
    assert sold(yews, 1, on=date(2025, 5, 1))[0][1] == 15


def test_an_ended_price_falls_back_to_the_stand(yews):
    give_price(yews, None, list="landscaper", on=date(2025, 5, 1))

    prices = SalePrices({(yews.plant_id, yews.container_id): 1}, on=DAY, buyer=BuyerFactory())
    assert prices.quote(yews.plant_id, yews.container_id, "").amount == 12
    reason = sold(yews, 1, BuyerFactory(), on=date(2025, 5, 2))[0][2]
    assert reason == "stand list (not on the landscaper list)"


def test_plants_for_nothing_need_a_reason(yews):
    free = Item(yews.plant, yews.container, 1, unit_price=Decimal(0))

    with pytest.raises(SaleRefused, match="Write in the note why"):
        sold(yews, 1, None, free)
    assert not Document.objects.exists()

    assert len(sold(yews, 1, None, free, note="for the school's fair")) == 2


def key(lot):
    return f"{lot.plant_id}-{lot.container_id}"


def test_the_page_shows_the_price_for_the_buyer_and_number(stand, yews):
    buyer = BuyerFactory()

    page = stand.get(SELL, {f"n-{key(yews)}": "12", "buyer": buyer.pk}, follow=True)

    words = page.content.decode()
    assert "landscaper list, from 10" in words and 'value="8.50"' in words
    assert page.context["net"] == 102


def press(client, lot, **more):
    data = {"request_id": str(uuid4()), "on": date.today().isoformat(), f"n-{key(lot)}": "10"}
    return client.post(SELL, data | more, follow=True)


def test_a_list_price_left_as_it_stood_gives_way_to_the_buyers(stand, yews):
    fields = {f"price-{key(yews)}": "14.00", f"shown-{key(yews)}": "14.00"}

    page = press(stand, yews, work_out="yes", buyer=str(BuyerFactory().pk), **fields)

    assert page.context["net"] == 85


def test_a_price_that_changed_unseen_is_shown_before_it_is_taken(stand, yews):
    fields = {f"price-{key(yews)}": "14.00", f"shown-{key(yews)}": "14.00", "paid_by": "cash"}
    buyer = str(BuyerFactory().pk)

    page = press(stand, yews, buyer=buyer, **fields)

    assert "Another price applies" in page.content.decode()
    assert not Document.objects.exists()
    fields |= {f"price-{key(yews)}": "8.50", f"shown-{key(yews)}": "8.50"}
    press(stand, yews, buyer=buyer, **fields)
    assert Document.objects.get().lines.get().price_reason == "landscaper list, from 10"


def test_a_price_below_cost_is_warned_of_at_the_sale(stand, yews):
    fields = {f"price-{key(yews)}": "4.99", f"shown-{key(yews)}": "14.00"}

    page = press(stand, yews, work_out="yes", **fields).content.decode()

    # The forty cost 200.00, one of them 5.00.
    assert "Below cost: one has cost $5.00 so far" in page
    assert "1 line below what the plants cost" in page


def test_the_stand_asks_why_plants_go_for_nothing(stand, yews):
    fields = {f"price-{key(yews)}": "0", f"shown-{key(yews)}": "14.00", "paid_by": "cash"}

    page = press(stand, yews, **fields).content.decode()

    assert "goes for nothing" in page
    assert not Document.objects.exists()
    press(stand, yews, note="for the school's fair", **fields)
    assert Document.objects.get().net == 0


def test_the_documents_page_says_why_a_price_applied(stand, yews):
    sold(yews, 10, BuyerFactory())

    page = stand.get(reverse("sales:document", args=[Document.objects.get().pk]))

    assert "landscaper list, from 10" in page.content.decode()


def test_the_shelf_shows_the_buyers_prices(stand, yews):
    page = stand.get(SELL, {"buyer": BuyerFactory().pk}, follow=True)

    assert "$12.00" in page.content.decode()
    assert container("#1") == yews.container
