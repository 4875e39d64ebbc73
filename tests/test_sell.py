"""The stand: plants are chosen by plain form posts, sold, and the change is worked out."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import LotBalance, Nursery
from sales.models import Document, Price, TaxRate
from sales.operations import Item, sell
from sales.queries.stand import round_amounts_over, stand_plants
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    UserFactory,
    exempt_buyer,
    sell_from,
)
from tests.factories import lot_holding as begin_lot

pytestmark = pytest.mark.django_db
SELL = "/sell/"


@pytest.fixture
def stand(client):
    """Log in at a nursery with ten boxwoods at 12.50 and tax of 6 percent."""
    NurseryFactory()
    TaxRate.objects.create(percent=Decimal(6), valid_from=date(2020, 1, 1))
    client.force_login(UserFactory(is_superuser=True))
    return client


def lot_for_sale(quantity=10, price="12.50", **more):
    lot = begin_lot(quantity, medium="20.00", **more)
    set_price(lot, price)
    return lot


def set_price(lot, price):
    return Price.objects.create(
        plant=lot.plant,
        container=lot.container,
        amount=Decimal(price),
        valid_from=date(2020, 1, 1),
        request_id=uuid4(),
    )


def key_of(lot):
    return f"{lot.plant_id}-{lot.container_id}"


def paid(lot, number="1", **more):
    """Return what a press on Cash sends, with the fields a browser would have."""
    return {
        "request_id": str(uuid4()),
        "on": date.today().isoformat(),
        "paid_by": "cash",
        f"n-{key_of(lot)}": number,
        **more,
    }


def test_the_stand_asks_for_a_login(client):
    UserFactory()

    response = client.get(SELL)

    assert response.status_code == 302
    assert "login" in response.url


def test_the_stand_shows_what_is_free_with_its_price(stand):
    lot = lot_for_sale(10)

    page = stand.get(SELL).content.decode()

    assert "10 free" in page
    assert "$12.50" in page
    assert f'value="{key_of(lot)}"' in page


def test_plants_still_in_a_tray_are_not_offered(stand):
    begin_lot(10, size="tray")

    assert "No plants are free to sell yet" in stand.get(SELL).content.decode()


def test_what_sells_most_stands_first(stand):
    slow, fast = (
        lot_for_sale(code=code, plant=PlantFactory(name=f"Ilex crenata '{name}'"))
        for code, name in (("L-A", "Acorn"), ("L-Z", "Zigzag"))
    )
    sell_from(fast, 3, on=date.today())
    sell_from(slow, 1, on=date.today())

    assert [row.plant for row in stand_plants(on=date.today())] == [fast.plant, slow.plant]


@pytest.mark.parametrize("search", ["taxus x media", "Hicks", "yew", "#1"])
def test_search_finds_a_plant_however_it_is_spelt(stand, search):
    yew = PlantFactory(name="Taxus ×media 'Hicksii'", common_name="Hicks yew")
    lot_for_sale(code="L-Y", plant=yew)
    lot_for_sale(code="L-B", size="#3")

    assert [row.plant for row in stand_plants(search=search, on=date.today())] == [yew]


def test_a_tap_on_plus_leads_to_the_same_page_with_one_more(stand):
    lot = lot_for_sale()
    key = key_of(lot)

    answer = stand.post(SELL, {"more": key, f"n-{key}": "2"}, follow=True)

    assert answer.redirect_chain[0][0] == f"{SELL}?n-{key}=3#plant-{key}"
    page = answer.content.decode()
    # 3 × 12.50 = 37.50; 6 percent of it is 2.25.
    assert "$37.50" in page and "$2.25" in page and "$39.75" in page
    assert not Document.objects.exists()


def test_the_buyer_chosen_first_is_still_the_buyer_after_a_tap(stand):
    lot, buyer = lot_for_sale(price="1250.50"), BuyerFactory(name="Fallow Grounds")

    page = stand.get(SELL, {"buyer": buyer.pk}).content.decode()
    assert "For Fallow Grounds." in page
    assert f'name="buyer" value="{buyer.pk}"' in page

    answer = stand.post(SELL, {"more": key_of(lot), "buyer": buyer.pk}, follow=True)
    page = answer.content.decode()
    assert f'<option value="{buyer.pk}" selected>' in page
    assert 'value="1250.50"' in page, "the price field must read what it shows"


def test_a_tap_on_minus_takes_the_last_one_away(stand):
    key = key_of(lot_for_sale())

    answer = stand.post(SELL, {"fewer": key, f"n-{key}": "1", f"price-{key}": "9"})

    assert answer.url == f"{SELL}?#plant-{key}"


def test_one_tap_on_cash_sells_pays_and_shows_the_change(stand):
    lot = lot_for_sale()

    answer = stand.post(SELL, paid(lot, "2", given="30"), follow=True)

    document = Document.objects.get()
    assert (document.net, document.tax) == (Decimal("25.00"), Decimal("1.50"))
    assert document.payments.get().amount == Decimal("26.50")
    assert LotBalance.objects.get(lot=lot).on_hand == 8
    page = answer.content.decode()
    assert "$26.50" in page and "$3.50" in page and "change to give back" in page
    assert reverse("sales:undo-sale", args=[document.pk]) in page
    assert "Next sale" in page


def test_pressed_twice_the_stand_sells_once(stand):
    lot = lot_for_sale()
    press = paid(lot)

    stand.post(SELL, press)
    stand.post(SELL, press)

    assert Document.objects.count() == 1
    assert LotBalance.objects.get(lot=lot).on_hand == 9


def test_htmx_is_sent_on_after_the_sale(stand):
    answer = stand.post(SELL, paid(lot_for_sale()), headers={"HX-Request": "true"})

    assert answer.headers["HX-Redirect"].startswith("/invoices/")


def test_a_price_asked_at_the_stand_overrules_the_list(stand):
    lot = lot_for_sale()

    stand.post(SELL, paid(lot, **{f"price-{key_of(lot)}": "10"}))

    line = Document.objects.get().lines.get()
    assert (line.unit_price, line.price_reason) == (Decimal(10), "asked at the sale")


def test_the_list_price_left_as_it_stood_is_no_price_of_the_day(stand):
    lot = lot_for_sale()

    stand.post(SELL, paid(lot, **{f"price-{key_of(lot)}": "12.50"}))

    assert Document.objects.get().lines.get().price_reason == "stand list"


def test_the_lot_chosen_is_the_lot_that_gives(stand):
    lot = lot_for_sale(code="L-old")
    younger = begin_lot(5, "L-young", plant=lot.plant, on=date(2025, 6, 1))

    stand.post(SELL, paid(lot, **{f"lot-{key_of(lot)}": str(younger.pk)}))

    assert LotBalance.objects.get(lot=younger).on_hand == 4


@pytest.mark.parametrize("first", ["any", "chosen"])
def test_plants_of_any_lot_leave_a_chosen_lot_its_own(first):
    NurseryFactory()
    old = lot_for_sale(20, code="L-old")
    young = begin_lot(20, "L-young", plant=old.plant, on=date(2025, 6, 1))
    chosen = Item(old.plant, old.container, 15, lot=old)
    items = {"any": Item(old.plant, old.container, 12), "chosen": chosen}

    sell(items=[items.pop(first), *items.values()], on=date.today(), request_id=uuid4())

    left = [LotBalance.objects.get(lot=lot).on_hand for lot in (old, young)]
    assert left == [0, 13], "five of the older are taken too, the rest from the younger"


def test_paid_later_goes_to_a_buyer_with_nothing_paid(stand):
    lot, buyer = lot_for_sale(), BuyerFactory(terms_days=30)

    stand.post(SELL, paid(lot, paid_by="later", buyer=str(buyer.pk)))

    document = Document.objects.get()
    assert document.buyer == buyer
    assert not document.payments.exists()


def refused(stand, press):
    """Press, and return the page that says why nothing was sold."""
    answer = stand.post(SELL, press)
    assert answer.status_code == 200
    assert not Document.objects.exists()
    return answer.content.decode()


def test_a_walk_in_cannot_pay_later(stand):
    page = refused(stand, paid(lot_for_sale(), "2", paid_by="later"))

    assert "Choose who pays later" in page
    assert 'value="2"' in page, "what was typed is kept"


def test_more_than_there_are_is_refused_and_kept(stand):
    page = refused(stand, paid(lot_for_sale(3), "4"))

    assert "3 are free; 4 cannot be sold. Sell fewer, or count the lots first." in page
    assert 'value="4"' in page


@pytest.mark.parametrize(
    "price, reason",
    [
        ("ten", "“ten” is not an amount"),
        ("1,250", "has a comma"),
        ("-1", "less than nothing"),
        ("9.999", "9.999 cannot be paid in USD: 10.00 would be right"),
        ("NaN", "is not an amount"),
        ("1e30", "is not an amount"),
    ],
)
def test_a_price_that_cannot_be_is_refused_and_kept(stand, price, reason):
    lot = lot_for_sale()

    page = refused(stand, paid(lot, **{f"price-{key_of(lot)}": price}))

    assert reason in page
    assert f'value="{price}"' in page


@pytest.mark.parametrize("number", ["-2", "1.5", "two", "²", "9" * 400])
def test_a_number_that_cannot_be_is_refused(stand, number):
    assert "Write a whole number" in refused(stand, paid(lot_for_sale(), number))


def test_a_plant_without_a_price_asks_for_one(stand):
    lot = begin_lot(5)

    assert "No price yet. Enter one here" in refused(stand, paid(lot))


def test_a_day_to_come_is_refused(stand):
    assert "has not come yet" in refused(stand, paid(lot_for_sale(), on="2099-01-01"))


def test_nothing_chosen_is_refused(stand):
    press = {"request_id": str(uuid4()), "on": date.today().isoformat(), "paid_by": "cash"}

    assert "Choose at least one plant to sell" in refused(stand, press)


def test_an_exempt_buyer_sees_no_tax_before_paying(stand):
    lot = lot_for_sale()
    buyer = exempt_buyer()

    page = stand.get(
        SELL, {f"n-{key_of(lot)}": "2", "buyer": buyer.pk}, follow=True
    ).content.decode()

    assert "Exempt, certificate E-17" in page
    assert "$25.00" in page


def test_a_currency_without_cents_is_asked_and_paid_whole(stand):
    Nursery.objects.update(currency="JPY")
    lot = lot_for_sale(price="1250")
    page = stand.get(SELL, {f"n-{key_of(lot)}": "1"}, follow=True).content.decode()
    assert 'value="1250"' in page and "¥1,325" in page

    stand.post(SELL, paid(lot, given="1500"))

    # 6 percent of 1,250 is 75: yen have no minor unit (ISO 4217).
    assert Document.objects.get().total == 1325
    assert (
        "12.50 cannot be paid in JPY"
        in stand.post(SELL, paid(lot, **{f"price-{key_of(lot)}": "12.50"})).content.decode()
    )


@pytest.mark.parametrize(
    "query", ["n-0-0=3", "n-x=1", "given=abc", "buyer=x", "on=nonsense", "find=%00", "n-99-1="]
)
def test_an_address_that_makes_no_sense_is_no_mishap(stand, query):
    lot_for_sale()

    assert stand.get(f"{SELL}?{query}", follow=True).status_code == 200


def test_round_amounts_are_those_a_person_hands_over():
    # Common practice at a till: coins to the next whole, then the notes above.
    assert round_amounts_over(Decimal("26.50"), 2) == [27, 30, 40, 50]
    assert round_amounts_over(Decimal("1450"), 0) == [1500, 2000, 5000, 10000]
    assert round_amounts_over(Decimal(0), 2) == []


def test_the_stand_asks_a_steady_number_of_questions(stand, django_assert_max_num_queries):
    lots = [lot_for_sale(code=f"L-{n}") for n in range(12)]
    chosen = {f"n-{key_of(lot)}": "1" for lot in lots}

    with django_assert_max_num_queries(20):
        stand.get(SELL, chosen | {"request": str(uuid4())})


def test_the_sale_is_undone_from_the_page_that_follows_it(stand):
    lot = lot_for_sale()
    stand.post(SELL, paid(lot, "3"))
    document = Document.objects.get()

    answer = stand.post(reverse("sales:undo-sale", args=[document.pk]), follow=True)

    assert "Its number stays used" in answer.content.decode()
    assert LotBalance.objects.get(lot=lot).on_hand == 10
    assert sum(row.amount for row in document.payments.all()) == 0
    assert Document.objects.count() == 1


def test_the_stand_is_closed_to_a_person_who_may_not_sell(client):
    client.force_login(UserFactory())

    assert client.get(SELL).status_code == 403
