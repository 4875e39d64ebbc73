"""The pages of holds: who may, what they show, what they do."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations as growing
from sales.models import Document, Hold
from sales.reports import holds_report, lots_report
from tests.factories import BuyerFactory, NurseryFactory, UserFactory, cause, lot_holding
from tests.test_hold import MARCH, TODAY, held
from tests.test_ready_on import MAY, growing_lot

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def page(client, name, *args, **query):
    answer = client.get(reverse(name, args=args), query, follow=True)
    assert answer.status_code == 200
    return answer.content.decode()


def typed(lot, quantity, **more):
    facts = {"buyer": BuyerFactory().pk, "until": MARCH.isoformat(), "request_id": uuid4()}
    return {**facts, f"n-{lot.plant_id}-{lot.container_id}": quantity, **more}


def test_a_hold_is_made_from_the_form_and_undone_from_the_next_page(grower):
    lot = lot_holding(20)

    text = grower.post(reverse("sales:hold-add"), typed(lot, 12), follow=True).content.decode()

    made = Hold.objects.get()
    assert f">{made.buyer}</a>?</h1>" in text
    grower.post(reverse("sales:undo-hold", args=[made.changes.get().pk]))
    assert made.lines.get().quantity == 0


def test_a_second_press_makes_one_hold(grower):
    lot = lot_holding(20)
    data = typed(lot, 5)

    for _ in range(2):
        grower.post(reverse("sales:hold-add"), data)

    assert Hold.objects.count() == 1


def test_a_refused_hold_keeps_what_was_typed(grower):
    lot = lot_holding(20)

    answer = grower.post(reverse("sales:hold-add"), typed(lot, 21, note="By the gate"))

    text = answer.content.decode()
    assert "21 cannot be promised" in text
    assert 'value="By the gate"' in text and 'value="21"' in text
    assert not Hold.objects.exists()


def test_the_form_takes_one_more_plant_and_keeps_the_others(grower):
    lot, other = lot_holding(20, "A"), lot_holding(9, "B")
    more = {"more": "yes", "plant": other.plant_id, "container": other.container_id}

    answer = grower.post(reverse("sales:hold-add"), typed(lot, 12, **more), follow=True)

    text = answer.content.decode()
    assert 'value="12"' in text and "9 free now" in text


def test_who_may_not_hold_is_refused(client):
    lot = lot_holding(20)
    client.force_login(UserFactory())

    assert client.post(reverse("sales:hold-add"), typed(lot, 1)).status_code == 403
    made = held(lot, 5)
    assert client.post(reverse("sales:hold-let-go", args=[made.pk])).status_code == 403
    assert client.post(reverse("sales:hand-over", args=[made.pk])).status_code == 403
    assert client.get(reverse("sales:hold", args=[made.pk])).status_code == 200


def test_a_part_is_handed_over_and_the_page_says_what_is_left(grower):
    made = held(lot_holding(20), 12, unit_price=Decimal(5))
    data = {f"line_{made.lines.get().pk}": 5, "paid_by": "later", "on": TODAY.isoformat()}

    grower.post(reverse("sales:hand-over", args=[made.pk]), data | {"request_id": uuid4()})

    assert Document.objects.get().net == 25
    assert "5 of 12 handed over already" in page(grower, "sales:hold", made.pk)


def test_a_hold_is_kept_longer_on_its_page(grower):
    made = held(lot_holding(20), 12)
    later = MARCH + timedelta(days=9)
    data = {"until": later.isoformat(), f"line_{made.lines.get().pk}": 10, "request_id": uuid4()}

    grower.post(reverse("sales:hold-change", args=[made.pk]), data)

    made.refresh_from_db()
    assert (made.until, made.lines.get().quantity) == (later, 10)


def test_a_hold_is_let_go_with_one_press(grower):
    made = held(lot_holding(20), 12)

    text = grower.post(reverse("sales:hold-let-go", args=[made.pk]), follow=True).content.decode()

    assert made.lines.get().quantity == 0
    assert "Let go: 12 to 0" in text


def test_the_list_names_the_buyer_and_what_is_short(grower):
    lot = lot_holding(20)
    made = held(lot, 12)
    loss = growing.Loss(lot, 15, cause("winter"), "normal")
    growing.write_off(losses=[loss], on=TODAY, request_id=uuid4())

    for text in (page(grower, "sales:hold-list"), page(grower, "today")):
        assert made.buyer.name in text and "7 short" in text
    assert "12 promised, 5 there or expected" in page(grower, "sales:hold", made.pk)
    assert "7 short" in page(grower, "inventory:lot", lot.pk)


def test_today_says_which_holds_have_ended(grower):
    ended = TODAY - timedelta(days=1)
    made = held(lot_holding(20), 12, until=ended, on=ended)

    text = page(grower, "today")

    assert f"Held for {made.buyer}" in text
    assert "expired" in text and "12 plants free again" in text


def test_the_lot_says_for_whom_its_plants_are_held(grower):
    lot = lot_holding(20)
    made = held(lot, 12)

    text = page(grower, "inventory:lot", lot.pk)

    assert made.buyer.name in text and reverse("sales:hold", args=[made.pk]) in text


def test_the_day_a_lot_is_ready_is_set_and_put_back(grower):
    lot = lot_holding(20)
    address = reverse("inventory:ready-on", args=[lot.pk])

    grower.post(address, {"ready_on": MAY.isoformat()})
    lot.refresh_from_db()
    assert lot.ready_on == MAY

    grower.post(reverse("inventory:ready-back", args=[lot.pk, "at-once"]))
    lot.refresh_from_db()
    assert lot.ready_on is None


def test_the_availability_list_keeps_apart_what_is_not_ready(grower):
    ready = lot_holding(10, "R")
    growing_lot(40, plant=ready.plant)

    text = page(grower, "sales:availability")

    assert '<span class="amount">10</span>' in text
    assert "About 40 more still grow" in text and "Order ahead for a buyer" in text


def test_the_stand_offers_to_hold_what_was_chosen(grower):
    lot = lot_holding(20)
    key = f"n-{lot.plant_id}-{lot.container_id}"

    text = page(grower, "sales:sell", **{key: 3, "request": str(uuid4())})

    assert f"{reverse('sales:hold-add')}?{key}=3" in text


def test_the_pick_list_is_a_pdf(grower):
    made = held(lot_holding(20), 12)

    answer = grower.get(reverse("sales:hold-pick-list", args=[made.pk]))

    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_the_reports_say_what_is_held():
    lot = growing_lot(40)
    made = held(lot, 30, ahead=True, until=MAY)

    (row,) = holds_report()

    assert (row["buyer"], row["open"], row["short"]) == (made.buyer.name, 30, 0)
    assert (row["ready_on"], row["until"]) == (MAY, MAY)
    (row,) = lots_report()
    assert (row["on_hand"], row["held"], row["available"]) == (40, 30, 0)
