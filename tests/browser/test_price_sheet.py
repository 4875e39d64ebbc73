"""The price sheet by its keys, and the stand that shows what a buyer pays."""

from datetime import date
from decimal import Decimal

import pytest
from playwright.sync_api import expect

from sales.models import Price
from tests.browser.conftest import PHONE
from tests.factories import BuyerFactory, NurseryFactory, UserFactory, give_price, lot_holding

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.sqlite]
WIDE = {"viewport": {"width": 1280, "height": 900}}


def opened(chromium, live_server, client, **screen):
    client.force_login(UserFactory(is_superuser=True))
    context = chromium.new_context(base_url=live_server.url, **screen)
    cookie = {"name": "sessionid", "value": client.cookies["sessionid"].value}
    context.add_cookies([{**cookie, "url": live_server.url}])
    return context.new_page()


@pytest.fixture
def two_lots(transactional_db):
    NurseryFactory()
    lots = [lot_holding(40, "L1"), lot_holding(40, "L2")]
    for lot in lots:
        give_price(lot, "14.00", on=date(2025, 1, 1))
    return lots


def test_arrows_and_enter_walk_the_sheet_and_one_press_saves_it(
    chromium, live_server, client, two_lots
):
    page = opened(chromium, live_server, client, **WIDE)
    page.goto("/prices/")
    cells = page.locator(".cells .cell input.number")

    cells.first.focus()
    page.keyboard.type("15")
    page.keyboard.press("Enter")
    expect(cells.nth(1)).to_be_focused()
    page.keyboard.type("16")
    page.keyboard.press("ArrowUp")
    expect(cells.first).to_be_focused()
    page.get_by_role("button", name="Save the prices").click()

    expect(page.locator(".said")).to_contain_text("2 prices on the stand list set")
    page.locator(".said button").click()
    expect(page.locator(".said")).to_contain_text("2 prices put back")
    assert {price.amount for price in Price.objects.all()} == {Decimal(14)}
    page.context.close()


def test_the_stand_shows_another_price_when_the_buyer_or_number_changes(
    chromium, live_server, client, two_lots
):
    buyer = BuyerFactory()
    for lot in two_lots:
        give_price(lot, "12.00", list="landscaper")
        give_price(lot, "8.50", list="landscaper", least=10)
    page = opened(chromium, live_server, client, **PHONE)
    page.goto("/sell/")
    page.locator("button.pick").first.tap()

    page.select_option("#id_buyer", label=buyer.name)
    expect(page.locator("#sale .net")).to_have_text("$12.00")
    page.locator("#sale input[name^=n-]").fill("10")
    page.locator("#sale input[name^=n-]").blur()
    expect(page.locator("#sale .net")).to_have_text("$85.00")
    expect(page.locator("#sale .lines")).to_contain_text("landscaper list, from 10")
    page.context.close()
