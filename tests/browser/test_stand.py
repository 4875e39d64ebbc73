"""The stand as a thumb meets it: three taps, large targets, contrast for full sun."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from playwright.sync_api import expect

from sales.models import Document, Price, TaxRate
from tests.factories import BuyerFactory, NurseryFactory, PlantFactory, UserFactory, lot_holding

pytestmark = pytest.mark.django_db(transaction=True)
TARGET = 48


@pytest.fixture(params=["with scripts", "without scripts"])
def stand(request, chromium, live_server, client):
    """Open the first page on a phone, with and without scripts, logged in."""
    open_the_stand()
    yield from phone_of(chromium, live_server, client, scripts=request.param == "with scripts")


@pytest.fixture(params=["light", "dark"])
def lit_stand(request, chromium, live_server, client):
    open_the_stand()
    yield from phone_of(chromium, live_server, client, color_scheme=request.param)


def open_the_stand():
    NurseryFactory()
    BuyerFactory()
    TaxRate.objects.create(percent=Decimal(6), valid_from=date(2020, 1, 1))
    for number in range(3):
        plant = PlantFactory(common_name="Bench boxwood")
        for code in (f"L{number}", f"M{number}"):
            lot = lot_holding(10, code, plant=plant)
        Price.objects.create(
            plant=lot.plant,
            container=lot.container,
            amount=Decimal("12.50"),
            valid_from=date(2020, 1, 1),
            request_id=uuid4(),
        )


def phone_of(chromium, live_server, client, scripts=True, color_scheme="light"):
    client.force_login(UserFactory(is_superuser=True))
    context = chromium.new_context(
        base_url=live_server.url,
        viewport={"width": 390, "height": 844},
        java_script_enabled=scripts,
        color_scheme=color_scheme,
        has_touch=True,
    )
    cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
    name = settings.SESSION_COOKIE_NAME
    context.add_cookies([{"name": name, "value": cookie, "url": live_server.url}])
    page = context.new_page()
    page.goto("/")
    yield page
    context.close()


def test_one_plant_paid_in_cash_takes_three_taps(stand):
    stand.locator("nav.places >> text=Sell").tap()
    stand.locator("button.pick").first.tap()
    stand.locator("button[value=cash]").tap()

    stand.wait_for_url("**/invoices/**")
    assert stand.locator("h1").inner_text().startswith("Receipt")
    assert stand.locator("text=Next sale").is_visible()
    assert Document.objects.get().payments.get().amount == Decimal("13.25")


def test_plus_and_minus_keep_what_was_typed(stand):
    stand.goto("/sell/")
    stand.locator("button.pick").first.tap()
    stand.locator("#sale input[name^=price-]").fill("11")
    stand.locator("#sale button[name=more]").tap()

    expect(stand.locator("#sale .net")).to_have_text("$22.00")
    assert stand.locator("#sale input[name^=price-]").input_value() == "11"
    stand.locator("#sale button[name=fewer]").tap()
    expect(stand.locator("#sale .net")).to_have_text("$11.00")


def test_a_tap_leaves_the_list_under_the_thumb(chromium, live_server, client):
    open_the_stand()
    for page in phone_of(chromium, live_server, client):
        page.set_viewport_size({"width": 390, "height": 500})
        page.goto("/sell/")
        page.evaluate("scrollTo(0, 250)")
        page.locator("button.pick").nth(1).tap()
        expect(page.locator("#sale .net")).to_have_text("$12.50")

        assert page.evaluate("scrollY") == 250


def test_enter_in_a_field_does_not_sell(stand):
    stand.goto("/sell/")
    stand.locator("button.pick").first.tap()
    field = stand.locator("#sale input[name^=n-]")
    field.fill("4")
    field.press("Enter")

    expect(stand.locator("#sale .net")).to_have_text("$50.00")
    assert not Document.objects.exists()


def begun(page):
    """Choose a plant and unfold all there is."""
    page.goto("/sell/")
    page.locator("button.pick").first.tap()
    page.wait_for_selector("#sale .net")
    for fold in page.locator("#stand details > summary").all():
        fold.tap()
    return page


def test_every_target_is_large_enough_for_a_thumb(lit_stand):
    page = begun(lit_stand)

    sizes = page.evaluate(
        """[...document.querySelectorAll("#stand :is(button, input, select, a, summary)")]
             .filter(part => part.type !== "hidden" && part.offsetParent)
             .map(part => [part.outerHTML.slice(0, 60), part.getBoundingClientRect()])
             .map(([what, box]) => [what, box.width, box.height])"""
    )

    small = [size for size in sizes if min(size[1:]) < TARGET]
    assert sizes and not small


def test_nothing_sticks_out_of_the_phone(lit_stand):
    page = begun(lit_stand)

    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_the_drawing_makes_no_row_higher(lit_stand):
    page = lit_stand
    page.goto("/sell/?plain=yes")
    heights = "[...document.querySelectorAll('.picks > li')].map(row => row.offsetHeight)"
    drawn = page.evaluate(heights)
    page.evaluate("document.querySelectorAll('.likeness').forEach(one => one.remove())")

    assert page.evaluate(heights) == drawn


def test_the_stand_reads_in_full_sun(lit_stand):
    """WCAG 2.2, success criterion 1.4.6: 7 to 1 for text, 4.5 to 1 for large text."""
    page = begun(lit_stand)

    only = {"runOnly": ["color-contrast-enhanced", "color-contrast", "label", "button-name"]}
    found = Axe().run(page, context="main", options=only).response["violations"]

    assert not [(rule["id"], node["html"]) for rule in found for node in rule["nodes"]]
