"""Pages that only use leads to: a refused form, the check of a sheet, a document, a second save."""

import pytest

from tests.browser.conftest import PHONE
from tests.browser.test_every_page import (
    SMALL_TARGETS,
    TARGET,
    WIDTHS,
    sticks_out,
    violations,
    violations_in_the_dark,
)

pytestmark = pytest.mark.sqlite


def refuse(address):
    def act(page):
        page.goto(address)
        page.locator(".form button:not(.quiet), #main-button").first.click()
        page.locator(".refusal").wait_for()

    return act


def refuse_a_lot(way):
    def act(page):
        page.goto("/lots/?container=%231")
        page.locator(".list tbody a").first.click()
        page.locator("nav.ways").get_by_role("link", name=way, exact=True).click()
        page.fill("[name=on]", "1999-05-01")
        page.locator("#main-button").click()
        page.locator(".refusal").wait_for()

    return act


def check_a_sheet(page):
    page.goto("/write-off/")
    field = page.locator("[name^=alive_]").first
    field.fill("0")
    page.click("button[name=check]")
    page.locator("button[name=save]").wait_for()


def open_a_document(page):
    page.goto("/invoices/?state=open")
    page.locator(".list tbody a").first.click()
    page.locator("h1", has_text="Invoice").wait_for()


def refuse_a_payment(page):
    open_a_document(page)
    page.locator(".actions").get_by_text("Note a payment").click()
    page.fill("[name=amount]", "99999999")
    page.locator(".form button").first.click()
    page.locator(".refusal").wait_for()


def refuse_a_sale(page):
    page.goto("/sell/")
    page.locator("button.pick").first.click()
    page.locator("#sale input[name^=n-]").fill("99999")
    page.locator("button[value=cash]").click()
    page.locator(".refusal").wait_for()


PAGES = {
    "begin": refuse("/begin/stick/"),
    "plant": refuse("/plants/add/"),
    "buyer": refuse("/buyers/add/"),
    "pot up": refuse_a_lot("Pot up"),
    "count": refuse_a_lot("Count"),
    "move": refuse_a_lot("Move"),
    "sheet": check_a_sheet,
    "document": open_a_document,
    "payment": refuse_a_payment,
    "sale": refuse_a_sale,
}


@pytest.mark.parametrize("name", PAGES)
def test_what_use_leads_to_fits_and_everybody_can_use_it(name, demo, somebody):
    page = somebody(demo, **PHONE).page
    page.emulate_media(color_scheme="light", reduced_motion="reduce")
    PAGES[name](page)

    found = {
        "small targets": page.evaluate(SMALL_TARGETS, TARGET),
        "too wide": [width for width in WIDTHS if sticks_out(page, width)],
        "in the light": violations(page),
        "in the dark": violations_in_the_dark(page),
    }
    assert not any(found.values()), {what: rows for what, rows in found.items() if rows}
