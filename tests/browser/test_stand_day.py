"""A day at the stand on a phone, from the float to the counted box."""

import re

import pytest
from playwright.sync_api import expect

from sales.models import StandDay
from tests.browser.test_every_page import (
    SMALL_TARGETS,
    TARGET,
    WIDTHS,
    sticks_out,
    violations,
    violations_in_the_dark,
)
from tests.browser.test_stand import open_the_stand, phone_of
from tests.factories import PlaceFactory
from tests.stand_scenes import figures

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(params=["with scripts", "without scripts"])
def phone(request, chromium, live_server, client):
    open_the_stand()
    PlaceFactory(name="Lane end")
    yield from phone_of(chromium, live_server, client, scripts=request.param == "with scripts")


def open_day(page):
    """Open the stand with 40 in the box and put out six plants by their lot's code."""
    page.goto("/sell/")
    page.get_by_role("link", name="Stand day").tap()
    page.get_by_role("link", name="Open a stand").tap()
    page.select_option("[name=place]", label="Lane end")
    page.fill("[name=began_with]", "40")
    page.get_by_role("button", name="Open the stand").tap()
    page.get_by_role("link", name="Put out").tap()
    page.fill("[name=find]", "l1")
    page.locator("[name=find]").press("Enter")
    first = page.locator(".stand-lots input").first
    expect(first).to_have_value("1")
    first.fill("6")
    page.get_by_role("button", name="Put out").tap()
    page.wait_for_url(re.compile(r"/stand/\d+/$"))


def check_the_count(page):
    """Count what is left: five plants, and 53.25 in the box."""
    page.get_by_role("link", name="Close").tap()
    page.locator(".stand-lots input").first.fill("5")
    for worth, number in (("50", 1), ("1", 3), ("0.25", 1)):
        page.fill(f"[name='c-{worth}']", str(number))
    page.get_by_role("button", name="Check the count").tap()
    page.get_by_role("button", name="Close the stand").wait_for()


def test_a_day_from_the_float_to_the_counted_box(phone):
    open_day(phone)
    phone.get_by_role("link", name="Sell").last.tap()
    phone.locator("button.pick").first.tap()
    phone.locator("button[value=cash]").tap()
    phone.wait_for_url("**/invoices/**")

    phone.goto(f"/stand/{StandDay.objects.get().pk}/")
    check_the_count(phone)
    phone.get_by_role("button", name="Close the stand").tap()
    expect(phone.locator("h1")).to_have_text("How was the stand at Lane end?")

    row = figures(StandDay.objects.get())
    assert (row.sold, row.back, row.missing, row.over_short) == (1, 5, 0, 0)


PAGES = ("", "put-out/", "bring-back/", "money/", "close/")


def test_each_page_fits_the_phone_and_everybody_can_use_it(chromium, live_server, client):
    open_the_stand()
    PlaceFactory(name="Lane end")
    for page in phone_of(chromium, live_server, client):
        page.emulate_media(color_scheme="light", reduced_motion="reduce")
        open_day(page)
        day = page.url
        for address in ("/stand/", *(day + part for part in PAGES)):
            page.goto(address)
            assert not troubles(page), address
        page.goto(day)
        check_the_count(page)
        assert not troubles(page), "the check"


def troubles(page) -> dict:
    found = {
        "small targets": page.evaluate(SMALL_TARGETS, TARGET),
        "too wide": [width for width in WIDTHS if sticks_out(page, width)],
        "in the light": violations(page),
        "in the dark": violations_in_the_dark(page),
    }
    page.emulate_media(color_scheme="light", reduced_motion="reduce")
    return {what: rows for what, rows in found.items() if rows}
