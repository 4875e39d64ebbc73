"""Selling without signal, in a real Chromium whose network is switched off."""

import os
import signal
from contextlib import suppress
from datetime import date
from decimal import Decimal
from pathlib import Path
from uuid import uuid4

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from playwright.sync_api import Error, expect

from inventory.models import LotBalance
from inventory.operations import add_photo
from sales.models import Document, FoundAtSale, TaxRate
from tests.conftest import CHROMIUM, CHROMIUM_ARGUMENTS
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    UserFactory,
    give_price,
    lot_holding,
)
from tests.test_photos import taken

pytestmark = pytest.mark.django_db(transaction=True)
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
MOST_BYTES = 100_000


@pytest.fixture
def lots():
    """Set up a stand with two kinds of plants, five of each, at 12.50."""
    NurseryFactory()
    BuyerFactory()
    TaxRate.objects.create(percent=Decimal(6), valid_from=date(2020, 1, 1))
    found = [lot_holding(5, code, plant=PlantFactory()) for code in ("L1", "L2")]
    for lot in found:
        give_price(lot, "12.50", on=date(2020, 1, 1))
    return found


@pytest.fixture
def seller(lots, client):
    user = UserFactory(is_superuser=True)
    client.force_login(user)
    return user


def let_in(context, client, live_server):
    name = settings.SESSION_COOKIE_NAME
    value = client.cookies[name].value
    context.add_cookies([{"name": name, "value": value, "url": live_server.url}])
    context.set_default_timeout(30_000)


@pytest.fixture
def phones(chromium, live_server, client, seller):
    """Hand out phones of the seller, each with storage of its own."""
    contexts = []

    def another():
        context = chromium.new_context(base_url=live_server.url, **PHONE)
        contexts.append(context)
        let_in(context, client, live_server)
        page = context.new_page()
        at_the_stand(page)
        ready_to_leave(page)
        return page

    yield another
    for context in contexts:
        context.close()


def at_the_stand(page):
    page.goto("/sell/")
    page.wait_for_selector("#stand[data-ready]")
    return page


def ready_to_leave(page):
    """Wait until the phone keeps all that it needs."""
    page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    page.wait_for_function(
        """async () => (await Promise.all(["/sell/shell/", "/sell/data.json", "/sell/waiting/"]
             .map(address => caches.match(address, {ignoreVary: true})))).every(Boolean)"""
    )


def sell_one(page, way="cash", times=1):
    for _ in range(times):
        page.locator("button.pick").first.tap()
    page.locator(f"button[value={way}]").tap()


def sell_away(page, **more):
    """Sell where there is no signal, and wait until the phone has it."""
    waiting = page.locator("[data-waiting]")
    before = int("".join(filter(str.isdigit, waiting.text_content())) or 0)
    sell_one(page, **more)
    expect(page.locator(".said")).to_contain_text("Kept on this phone")
    # What is said may be of the sale before.
    expect(waiting).to_have_text(f"{before + 1} to be sent")


def wait_for_sales(page, number):
    """Wait until the ledger has booked so many."""
    for _ in range(100):
        if Document.objects.count() == number:
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{Document.objects.count()} sales are booked, not {number}")


def test_a_sale_without_signal_is_sent_when_it_is_back(phones):
    page = phones()
    page.context.set_offline(True)
    sell_away(page, times=2)
    expect(page.locator("[data-waiting]")).to_have_text("1 to be sent")
    assert not Document.objects.exists()

    page.context.set_offline(False)

    wait_for_sales(page, 1)
    assert Document.objects.get().total == Decimal("26.50")
    expect(page.locator("[data-waiting]")).to_have_text("On this phone")


def test_the_stand_opens_without_signal_and_knows_what_it_sold(phones):
    page = phones()
    page.context.set_offline(True)
    sell_away(page, times=2)

    at_the_stand(page)

    expect(page.locator("button.pick .free").first).to_have_text("3 free")


def test_a_picture_that_is_not_kept_leaves_the_drawing(phones, lots):
    add_photo(plant=lots[0].plant, content=taken(), request_id=uuid4())
    page = phones()
    expect(page.locator(".likeness img")).to_have_count(1)
    wire = page.context.new_cdp_session(page)
    wire.send("Network.clearBrowserCache")
    page.context.set_offline(True)

    at_the_stand(page)

    expect(page.locator(".likeness img")).to_have_count(0)
    drawn = page.locator(".likeness use").first
    assert drawn.evaluate("use => use.getBoundingClientRect().width") > 20


def test_selling_asks_the_network_nothing_until_it_is_paid(phones):
    page = phones()
    asked = []
    page.on("request", lambda request: asked.append(request.url))

    page.locator("button.pick").first.tap()
    page.locator("button.pick").nth(1).tap()
    page.locator("#sale button[name=more]").first.tap()
    page.locator("#sale input[name^=price-]").first.fill("9")
    page.locator("#sale [name=buyer]").select_option(index=1)

    expect(page.locator(".pay .total span")).to_have_text("$32.33")
    assert asked == []


def test_the_total_asked_for_is_the_total_booked(phones):
    page = phones()
    page.locator("button.pick").first.tap()
    page.locator("button.pick").nth(1).tap()
    shown = page.locator(".pay .total span").inner_text()
    page.locator("button[value=card]").tap()

    page.wait_for_url("**/invoices/**")
    assert shown == f"${Document.objects.get().total:.2f}"


def test_a_closed_tab_loses_nothing(phones):
    page = phones()
    page.context.set_offline(True)
    sell_away(page)
    context = page.context
    page.close()

    context.set_offline(False)
    at_the_stand(context.new_page())

    wait_for_sales(context.pages[0], 1)


def test_a_dead_battery_loses_nothing(chromium, live_server, client, seller, tmp_path):
    def switched_on():
        context = chromium.browser_type.launch_persistent_context(
            tmp_path,
            executable_path=CHROMIUM,
            args=CHROMIUM_ARGUMENTS,
            base_url=live_server.url,
            handle_sigint=False,
            **PHONE,
        )
        let_in(context, client, live_server)
        return context, at_the_stand(context.new_page())

    context, page = switched_on()
    ready_to_leave(page)
    context.set_offline(True)
    sell_away(page)
    sell_away(page, times=2)
    kill(tmp_path)
    with suppress(Error):
        context.close()

    context, page = switched_on()

    wait_for_sales(page, 2)
    totals = Document.objects.order_by("pk")
    assert [one.total for one in totals] == [Decimal("13.25"), Decimal("26.50")]
    context.close()


def kill(folder):
    """End the processes of the browser that keeps its things in a folder, without a goodbye."""
    for process in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):
            if str(folder) in (process / "cmdline").read_text(errors="ignore"):
                os.kill(int(process.name), signal.SIGKILL)


def test_two_phones_sell_the_same_plants(phones, lots):
    one, other = phones(), phones()
    for page in (one, other):
        page.context.set_offline(True)
        sell_away(page, times=4)

    for page in (one, other):
        page.context.set_offline(False)

    wait_for_sales(one, 2)
    assert FoundAtSale.objects.get().movement.quantity == 3
    assert min(LotBalance.objects.values_list("on_hand", flat=True)) == 0


def test_an_answer_that_never_came_books_nothing_twice(phones):
    page = phones()

    def booked_but_unheard(route):
        route.fetch()
        route.abort()

    page.route("**/sell/send/", booked_but_unheard, times=1)
    sell_away(page)
    wait_for_sales(page, 1)
    page.reload()
    expect(page.locator("[data-waiting]")).to_have_text("On this phone")

    assert Document.objects.count() == 1


def test_with_the_login_expired_the_queue_waits(phones, client, live_server, seller):
    page = phones()
    page.context.set_offline(True)
    sell_away(page)
    page.context.clear_cookies()
    page.goto("/sell/waiting/")
    page.context.set_offline(False)
    page.locator("#send-now").tap()
    expect(page.locator("#kept-words")).to_contain_text("Log in to send")
    assert not Document.objects.exists()

    client.force_login(seller)
    let_in(page.context, client, live_server)
    page.goto("/sell/waiting/")

    wait_for_sales(page, 1)
    expect(page.locator("#kept-words")).to_have_text("Everything was sent.")
    expect(page.locator("#sent a")).to_have_text(Document.objects.get().number)


def test_another_person_is_told_whose_it_is_and_may_send_it(phones, client, live_server):
    page = phones()
    page.context.set_offline(True)
    sell_away(page)
    client.force_login(UserFactory(username="saturday-help", is_superuser=True))
    let_in(page.context, client, live_server)
    page.context.set_offline(False)
    page.goto("/sell/waiting/")
    expect(page.locator("#to-send")).to_contain_text("Sold by grower")
    assert not Document.objects.exists()

    page.get_by_text("Send it as saturday-help").tap()

    wait_for_sales(page, 1)
    assert "Sold by grower" in Document.objects.get().note


def test_a_sale_not_sent_yet_is_taken_back(phones):
    page = phones()
    page.context.set_offline(True)
    sell_away(page)

    page.locator(".said button").tap()

    expect(page.locator(".said")).to_contain_text("nothing was sold")
    expect(page.locator("button.pick .free").first).to_have_text("5 free")
    page.context.set_offline(False)
    at_the_stand(page)
    assert not Document.objects.exists()


def test_a_gift_and_an_unnamed_debt_are_asked_about_first(phones):
    page = phones()
    page.locator("button.pick").first.tap()
    page.locator("button[value=later]").tap()
    expect(page.locator(".refusal")).to_contain_text("an open invoice needs a name")
    page.locator("#sale input[name^=price-]").fill("0")
    page.locator("button[value=cash]").tap()

    expect(page.locator(".refusal")).to_contain_text("goes for nothing")
    assert page.locator("#sale input[name^=price-]").input_value() in ("0", "0.00")


@pytest.mark.parametrize("address", ["/sell/", "/sell/waiting/"])
def test_nothing_stands_in_the_way_without_signal(phones, address):
    page = phones()
    page.context.set_offline(True)
    sell_away(page)
    page.goto(address)
    page.wait_for_timeout(500)
    if address == "/sell/":
        page.locator("button.pick").first.tap()

    found = Axe().run(page, context="main").response["violations"]

    assert not [(rule["id"], node["html"]) for rule in found for node in rule["nodes"]]
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_little_is_sent_after_the_first_load(phones):
    """Another look at the stand and a sale, in bytes on the wire."""
    page = phones()
    wire = page.context.new_cdp_session(page)
    wire.send("Network.enable")
    received = []
    wire.on("Network.loadingFinished", lambda event: received.append(event["encodedDataLength"]))

    at_the_stand(page)
    sell_one(page)
    page.wait_for_url("**/invoices/**")

    assert 0 < sum(received) < MOST_BYTES


def test_a_label_read_without_signal_sells_from_its_lot(phones, lots):
    page = phones()
    page.context.set_offline(True)
    for _ in range(2):
        page.fill("[name=lot_code]", " l2 ")
        page.press("[name=lot_code]", "Enter")
        page.wait_for_timeout(100)
    expect(page.locator("#sale .lines")).to_contain_text("By its label, from lot L2.")
    page.locator("button[value=cash]").tap()
    expect(page.locator(".said")).to_contain_text("2 plants")

    page.context.set_offline(False)

    wait_for_sales(page, 1)
    assert LotBalance.objects.get(lot=lots[1]).on_hand == 3
