"""Every page that links lead to: it opens, fits, can be read and used, and needs a login."""

from contextlib import contextmanager

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.utils.datastructures import CaseInsensitiveMapping

from tests.browser.conftest import PHONE, log_in
from tests.browser.walking import OPEN, every_page, find_pages
from tests.test_headers import lacks

pytestmark = pytest.mark.sqlite

WIDTHS = (360, 390, 768, 1280)
# WCAG 2.2, success criterion 2.5.8 asks for 24 px; 44 px is its level AAA, 2.5.5.
TARGET = 44
# Smaller text in a field makes a phone zoom in.
FIELD_TEXT = 16
FIRST_PAGE = 100_000

# A link within a sentence is as high as its line, which both criteria allow.
SMALL_TARGETS = """least => {
  const ticked = "label input:is([type=checkbox], [type=radio]), [type=hidden]"
  const inSentence = link => link.matches("a")
    && getComputedStyle(link).display.startsWith("inline")
    && link.parentElement.textContent.trim() !== link.textContent.trim()
  return [...document.querySelectorAll("main :is(button, a, summary, select, input)")]
    .filter(part => part.checkVisibility() && !part.matches(ticked) && !inSentence(part))
    .map(part => [Math.round(part.getBoundingClientRect().height), part.outerHTML])
    .filter(([height]) => height > 2 && height < least)
    .map(([height, what]) => `${height} px: ${what.slice(0, 120)}`)
}"""

SMALL_FIELDS = """least => [...document.querySelectorAll("main :is(input, select, textarea)")]
  .filter(field => field.type !== "hidden")
  .filter(field => parseFloat(getComputedStyle(field).fontSize) < least)
  .map(field => field.outerHTML.slice(0, 120))"""


@pytest.fixture(scope="session")
def addresses(demo, keys, chromium):
    """Follow all links from Today, and return an address of each kind of page."""
    context = chromium.new_context(base_url=demo.url, storage_state=keys(demo))

    def read(address):
        answer = context.request.get(address)
        assert answer.status == 200, f"{address} answers {answer.status}"
        return answer.text()

    found = find_pages(read, every_page())
    # No link leads there from a hold that has ended, as the demo's last does in May 2027.
    yield {"hold-more": f"{found['hold']}add/"} | found
    context.close()


@pytest.fixture(scope="session")
def window(demo, keys, chromium):
    """Keep one window open for all pages."""
    context = chromium.new_context(base_url=demo.url, storage_state=keys(demo), **PHONE)
    yield context.new_page()
    context.close()


@pytest.mark.parametrize("name", every_page())
def test_links_lead_to_a_page_that_fits_and_everybody_can_use(name, addresses, window):
    assert name in addresses, "no link from Today leads there"
    page = window
    page.emulate_media(color_scheme="light", reduced_motion="reduce")
    page.set_viewport_size(PHONE["viewport"])
    with listening(page) as complaints:
        answer = page.goto(addresses[name])
    assert answer.status == 200

    told = CaseInsensitiveMapping(answer.headers)
    found = {
        "headers lacking": lacks(told),
        "open to caches on the way": "private" not in told["Cache-Control"]
        and "no-store" not in told["Cache-Control"],
        "small targets": page.evaluate(SMALL_TARGETS, TARGET),
        "fields of small text": page.evaluate(SMALL_FIELDS, FIELD_TEXT),
        "too wide": [width for width in WIDTHS if sticks_out(page, width)],
        "in the light": violations(page),
        "in the dark": violations_in_the_dark(page),
        "the browser says": complaints,
    }
    assert not any(found.values()), {what: rows for what, rows in found.items() if rows}


@contextmanager
def listening(page):
    """Collect what the browser complains of, as it does where a page breaks its own policy."""
    complaints = []

    def hear(message):
        complaints.append(message.text)

    page.on("console", hear)
    page.on("pageerror", hear)
    yield complaints
    page.remove_listener("console", hear)
    page.remove_listener("pageerror", hear)


def sticks_out(page, width):
    page.set_viewport_size({"width": width, "height": 844})
    return page.evaluate("document.documentElement.scrollWidth > innerWidth")


def violations(page):
    found = Axe().run(page).response["violations"]
    return places_of(found)


def places_of(found):
    return [(rule["id"], node["html"][:160]) for rule in found for node in rule["nodes"][:3]]


def violations_in_the_dark(page):
    """Ask again what the colours decide; axe stands in the page already."""
    page.emulate_media(color_scheme="dark", reduced_motion="reduce")
    again = "axe.run({runOnly: ['color-contrast', 'link-in-text-block']})"
    return places_of(page.evaluate(again)["violations"])


def test_every_page_but_those_named_open_asks_for_a_login(addresses, demo, chromium):
    context = chromium.new_context(base_url=demo.url)
    open_ones = []
    for name, address in addresses.items():
        if name in OPEN:
            continue
        answer = context.request.get(address, max_redirects=0)
        if answer.status != 302 or "/accounts/login/?next=" not in answer.headers["location"]:
            open_ones.append(address)
    context.close()

    assert addresses and not open_ones


def test_the_first_page_is_light_enough_for_an_old_phone(demo, chromium):
    context = chromium.new_context(base_url=demo.url, **PHONE)
    page = context.new_page()
    arrived = []
    listening = context.new_cdp_session(page)
    listening.send("Network.enable")
    listening.on("Network.loadingFinished", lambda part: arrived.append(part["encodedDataLength"]))
    page.goto("/accounts/login/", wait_until="networkidle")
    login = sum(arrived)
    log_in(page)
    page.wait_for_load_state("networkidle")
    context.close()

    assert len(arrived) > 5
    assert 0 < login < FIRST_PAGE
    assert sum(arrived) < FIRST_PAGE, "login and Today together"
