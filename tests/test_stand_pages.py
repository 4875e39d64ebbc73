"""The pages of a stand day: who may, what they show, what a wrong entry answers."""

from decimal import Decimal
from io import BytesIO
from uuid import uuid4

import pytest
from django.contrib.auth.models import Permission
from django.urls import reverse
from django.utils import timezone

from sales.models import Document, StandDay
from tests.factories import PlaceFactory, UserFactory, give_price, lot_holding
from tests.stand_scenes import close, figures, sell_at, stand

pytestmark = pytest.mark.django_db


@pytest.fixture
def seller(client):
    user = UserFactory()
    names = ("add_document", "add_standday", "change_standday")
    user.user_permissions.set(Permission.objects.filter(codename__in=names))
    client.force_login(user)
    return client


@pytest.fixture
def lot():
    found = lot_holding(20)
    give_price(found, "12.00")
    return found


def post(client, name, *args, **data):
    return client.post(reverse(name, args=args), {"request_id": uuid4(), **data})


def on_today():
    return {"on": timezone.localdate().isoformat()}


PAGES = ("stand-day", "stand-put-out", "stand-bring-back", "stand-money", "stand-close")


@pytest.mark.parametrize("page", PAGES)
def test_a_page_opens_for_who_may_change_it(seller, lot, page):
    day = stand(plants={lot: 5})

    answer = seller.get(reverse(f"sales:{page}", args=[day.pk]), follow=True)

    assert answer.status_code == 200
    assert day.place.name in answer.content.decode()


@pytest.mark.parametrize("page", PAGES[1:])
def test_a_page_that_writes_is_closed_to_others(client, lot, page):
    day = stand()
    client.force_login(UserFactory())

    assert client.get(reverse(f"sales:{page}", args=[day.pk])).status_code == 403
    assert client.get(reverse("sales:stand-open")).status_code == 403
    assert post(client, "sales:undo-stand-step", day.steps.first().pk).status_code == 403


def test_a_stand_is_opened_stocked_and_closed_by_its_pages(seller, lot):
    place = PlaceFactory()
    opening = {"place": place.pk, "who": "attended", "began_with": "40.00", **on_today()}
    post(seller, "sales:stand-open", **opening)
    day = StandDay.objects.get()
    post(seller, "sales:stand-put-out", day.pk, save="yes", **{f"n-{lot.pk}": 6}, **on_today())
    money = {"amount": "5.00", "kind": "paid_out", "note": "twine", **on_today()}
    post(seller, "sales:stand-money", day.pk, **money)
    counted = {f"left-{lot.pk}": 4, f"gone-{lot.pk}": "sold", "c-20": 2, "other": "19.00"}

    checked = post(seller, "sales:stand-close", day.pk, check="yes", **counted, **on_today())
    assert StandDay.objects.get().is_open, "it was only looked at"
    assert "2 plants" in checked.content.decode()
    token = checked.context["form"].counted
    closing = {"close": "yes", "counted": token, **counted, **on_today()}
    post(seller, "sales:stand-close", day.pk, **closing)

    row = figures(day)
    assert (row.expected, row.counted, row.over_short, row.sold) == (59, 59, 0, 2)
    assert row.count.pieces == {"20": 2}


def test_a_count_changed_after_the_check_is_checked_again(seller, lot):
    day = stand("40.00")
    checked = post(seller, "sales:stand-close", day.pk, check="yes", other="40", **on_today())
    token = checked.context["form"].counted

    post(seller, "sales:stand-close", day.pk, close="y", counted=token, other="4", **on_today())

    assert StandDay.objects.get().is_open


def test_a_refusal_keeps_what_was_typed(seller, lot):
    day = stand(plants={lot: 5})
    counted = {f"left-{lot.pk}": 7, f"gone-{lot.pk}": "sold", "other": "40", **on_today()}

    answer = post(seller, "sales:stand-close", day.pk, check="yes", **counted).content.decode()

    assert "5 of lot L1 should be out; 7 were counted" in answer
    assert 'value="7"' in answer


def test_a_code_scanned_adds_one_of_its_lot(seller, lot):
    day = stand()

    answer = post(seller, "sales:stand-put-out", day.pk, find="l1", **{f"n-{lot.pk}": "3"})

    assert f"n-{lot.pk}=4" in answer.url


def test_sales_of_the_sell_screen_belong_to_the_open_stand(seller, lot):
    day = stand(plants={lot: 5}, on=timezone.localdate())
    address = reverse("sales:sell")
    key = f"{lot.plant_id}-{lot.container_id}"
    assert day.place.name in seller.get(address).content.decode()

    seller.post(address, {f"n-{key}": 2, "paid_by": "cash", "request_id": uuid4(), **on_today()})
    chosen = {f"n-{key}": 1, "paid_by": "card", "request_id": uuid4(), "stand": "none"}
    seller.post(address, chosen | on_today())

    assert Document.objects.count() == 2
    assert (figures(day).sold, figures(day).cash_sales) == (2, 24)


def test_the_stand_shows_as_free_what_is_out_there(seller, lot):
    stand(plants={lot: 20}, on=timezone.localdate())
    key = f"{lot.plant_id}-{lot.container_id}"

    shown = seller.get(reverse("sales:sell") + f"?n-{key}=20&request={uuid4()}")

    assert not [line.error for line in shown.context["form"].lines if line.error]
    assert "20 free" in shown.content.decode()


def test_undo_takes_a_step_back(seller, lot):
    day = stand(plants={lot: 5})

    answer = seller.post(reverse("sales:undo-stand-step", args=[day.steps.first().pk]), follow=True)

    assert "Undone" in answer.content.decode()
    assert StandDay.objects.get().state == "undone"


def test_the_list_tells_what_was_not_paid_and_draws_it(seller, lot):
    close(stand("0", {lot: 10}, attended=False), "30.00", [(lot, 7)])

    page = seller.get(reverse("sales:stand-list")).content.decode()
    chart = seller.get(reverse("sales:stand-chart") + "?by=day")

    assert "$6.00" in page and "not paid" in page
    assert chart["Content-Type"] == "image/svg+xml"


def test_what_was_left_goes_out_again(seller, lot):
    day = stand("5.00", {lot: 10}, attended=False)
    close(day, "5.00", [(lot, 10)])
    address = reverse("sales:stand-open") + f"?after={day.pk}"
    form = seller.get(address, follow=True).context["form"]
    assert (form["began_with"].value(), form["who"].value()) == ("5.00", "alone")

    again = {"place": day.place_id, "who": "alone", "began_with": "5.00", "plants_again": "on"}
    seller.post(address, {"request_id": uuid4(), **again, **on_today()})

    assert figures(StandDay.objects.open().get()).out == 10


def test_today_shows_an_open_stand(seller, lot):
    day = stand()

    assert f"The stand at {day.place}" in seller.get(reverse("today")).content.decode()


def test_the_sheet_says_what_the_day_came_to(seller, lot):
    pypdf = pytest.importorskip("pypdf")
    day = stand("40.00", {lot: 5})
    sell_at(day, lot, 2)
    close(day, "63.50", [(lot, 3)], pieces={"20": 3, "0.50": 7}, card=Decimal(0))

    answer = seller.get(reverse("sales:stand-sheet", args=[day.pk]))

    text = pypdf.PdfReader(BytesIO(answer.content)).pages[0].extract_text()
    for words in ("Stand day", "Should be in the box", "$64.00", "$63.50", "0.50", "3.50"):
        assert words in text, words
