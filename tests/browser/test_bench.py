"""Entries at the bench as a thumb meets them: live sentences, and the walk with a sheet."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from playwright.sync_api import expect

from inventory.models import LotBalance
from tests.entering import page as address
from tests.factories import NurseryFactory, UserFactory, lot_holding

pytestmark = pytest.mark.django_db(transaction=True)


def phone_of(chromium, live_server, client, *, scripts):
    """Open a phone of somebody who may enter what happens."""
    client.force_login(UserFactory(is_superuser=True))
    context = chromium.new_context(
        base_url=live_server.url,
        viewport={"width": 390, "height": 844},
        java_script_enabled=scripts,
        has_touch=True,
    )
    name = settings.SESSION_COOKIE_NAME
    cookie = {"name": name, "value": client.cookies[name].value, "url": live_server.url}
    context.add_cookies([cookie])
    yield context.new_page()
    context.close()


@pytest.fixture
def bench(chromium, live_server, client):
    NurseryFactory()
    yield from phone_of(chromium, live_server, client, scripts=True)


@pytest.fixture(params=["with scripts", "without scripts"])
def any_bench(request, chromium, live_server, client):
    NurseryFactory()
    scripts = request.param == "with scripts"
    yield from phone_of(chromium, live_server, client, scripts=scripts)


def test_the_sentence_follows_what_is_typed(bench):
    lot = lot_holding(52, "THS-24A", size="tray", labour="165.36")
    bench.goto(address("pot-up", lot.pk))

    bench.fill("[name=quantity]", "40")

    expect(bench.locator(".sentence")).to_contain_text("12 stay.")
    expect(bench.locator("#main-button")).to_have_text("Pot up 40")

    bench.fill("[name=quantity]", "60")
    expect(bench.locator(".sentence")).to_contain_text("60 cannot be taken")


def test_potting_up_and_undo_are_one_tap_each(any_bench):
    lot = lot_holding(52, "THS-24A", size="tray")
    any_bench.goto(address("pot-up", lot.pk))

    any_bench.fill("[name=quantity]", "40")
    any_bench.locator("#main-button").tap()
    any_bench.locator("text=Potted up 40 of lot THS-24A").wait_for()
    assert LotBalance.objects.get(lot=lot).on_hand == 12

    any_bench.locator(".said button").tap()
    any_bench.locator("text=Undone: potted up").wait_for()
    assert LotBalance.objects.get(lot=lot).on_hand == 52


def test_a_walk_is_typed_checked_and_saved(any_bench):
    lots = [lot_holding(20, f"L{number}") for number in range(6)]
    any_bench.goto(address("write-off"))

    any_bench.fill(f"[name=alive_{lots[1].pk}]", "18")
    any_bench.fill(f"[name=alive_{lots[4].pk}]", "0")
    any_bench.locator("button[name=check]").tap()
    any_bench.locator("text=Write off 22 plants?").wait_for()
    any_bench.locator("button[name=save]").tap()
    any_bench.locator("text=Wrote off 22 plants of 2 lots.").wait_for()

    held = LotBalance.objects.order_by("pk").values_list("on_hand", flat=True)
    assert list(held) == [20, 18, 20, 20, 0, 20]


PAGES = [
    ("begin", "stick"),
    ("pot-up", "lot"),
    ("root-count", "lot"),
    ("move", "lot"),
    ("write-off",),
    ("plant-add",),
    ("place-add",),
    ("container-list",),
    ("expected-losses",),
]


@pytest.mark.parametrize("where", PAGES, ids=lambda where: where[0])
def test_a_phone_shows_all_of_it_and_everybody_can_use_it(bench, where):
    lot = lot_holding(20, "L1", size="tray")
    bench.goto(address(where[0], *(lot.pk if part == "lot" else part for part in where[1:])))

    wide = bench.evaluate("document.documentElement.scrollWidth - innerWidth")
    found = Axe().run(bench).response["violations"]

    assert wide <= 0, f"{wide} px too wide"
    assert not found, [(rule["id"], rule["nodes"][0]["html"]) for rule in found]
