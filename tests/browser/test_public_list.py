"""The list on the web as strangers see it: it fits, can be read by all, and needs no script."""

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from sales import operations
from sales.models import PlantRequest
from tests.browser.conftest import WITHOUT_SCRIPTS
from tests.browser.test_every_page import (
    SMALL_TARGETS,
    TARGET,
    WIDTHS,
    listening,
    sticks_out,
    violations,
    violations_in_the_dark,
)
from tests.factories import BuyerFactory, NurseryFactory, PlantFactory, give_price, lot_holding
from tests.test_public_list import switch_on

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.sqlite]


@pytest.fixture
def address():
    """A list with two plants, and a buyer's link to it."""
    NurseryFactory()
    yew = PlantFactory(name="Taxus ×media 'Hicksii'", common_name="Hicks yew", poisonous="Seeds.")
    give_price(lot_holding(60, plant=yew), "21.25")
    lot_holding(7, "L2", size="#3")
    facts = {"call_name": "Wren", "email": "wren@bench.example", "takes_requests": True}
    switch_on(greeting="Open on Saturdays", **facts)
    link = operations.make_buyer_link(buyer=BuyerFactory(), last_on=timezone.localdate())
    return {
        "anyone": "/list/",
        "a buyer": f"/list/for/{link.token}/",
        "nobody": "/list/for/x/",
        "who asks": "/list/ask/",
    }


@pytest.mark.parametrize("who", ["anyone", "a buyer", "nobody", "who asks"])
def test_the_list_fits_and_everybody_can_use_it(who, address, phone):
    phone.emulate_media(color_scheme="light", reduced_motion="reduce")
    with listening(phone) as complaints:
        phone.goto(address[who])
    found = {
        "small targets": phone.evaluate(SMALL_TARGETS, TARGET),
        "too wide": [width for width in WIDTHS if sticks_out(phone, width)],
        "in the light": violations(phone),
        "in the dark": violations_in_the_dark(phone),
        "the browser says": [text for text in complaints if "404" not in text],
        # A form needs one against forgery; to read the list needs none.
        "cookies": phone.context.cookies() if who != "who asks" else [],
    }

    assert not any(found.values()), found


def test_a_stranger_asks_for_plants_without_scripts(address, chromium, live_server):
    context = chromium.new_context(base_url=live_server.url, **WITHOUT_SCRIPTS)
    page = context.new_page()
    page.goto("/list/")
    page.get_by_role("link", name="Ask for plants").tap()
    page.get_by_label("Taxus").fill("12")
    page.get_by_label("Your name").fill("Wren")
    page.get_by_label("Phone").fill("555 0177")
    # Sooner than anyone could fill it in, the form asks once more and keeps what was typed.
    page.get_by_role("button", name="Send the request").tap()
    page.wait_for_timeout(3_100)
    page.get_by_role("button", name="Send the request").tap()

    expect(page.locator("h1")).to_have_text("Thank you")
    assert PlantRequest.objects.get().lines.get().quantity == 12
    context.close()
