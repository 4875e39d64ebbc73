"""A tour of the demo nursery: the pictures of README.md, and that their pages are what they say.

NURSERY_TOUR=1 takes the pictures anew, into nursery/static/tour.
"""

import io
import os
from datetime import date

import pypdf
import pytest
from PIL import Image
from pypdfium2 import PdfDocument

from nursery.bootstrap import ROOT
from tests.browser.conftest import PHONE

pytestmark = pytest.mark.sqlite

PICTURES = ROOT / "nursery" / "static" / "tour"
TAKES_PICTURES = os.environ.get("NURSERY_TOUR") == "1"
LARGEST = 60_000
COLOURS = 128
WIDE = {"viewport": {"width": 1280, "height": 860}}


def pick_two(page):
    """Put two kinds of plants into the sale, as for a buyer at the stand."""
    for number in (0, 3):
        page.locator("button.pick").nth(number).click()
        page.locator(f"#sale .lines > li >> nth={min(number, 1)}").wait_for()
    page.evaluate("scrollTo(0, 0)")


def walk_the_house(page):
    """Type what is alive in a few lots, and look at what the sheet will do."""
    page.select_option("[name=place]", label="Hoop house west")
    page.click("text=Show these")
    rows = page.locator("table.sheet tbody tr:not(.heading)")
    rows.first.wait_for()
    for row, share in zip(rows.all()[:3], (0.9, 0.6, 0.95), strict=True):
        held = int(row.locator(".held").inner_text())
        row.locator("[name^=alive_]").fill(str(int(held * share)))
    page.click("button[name=check]")
    page.locator("button[name=save]").wait_for()


def open_the_batch(page):
    """Open a batch that went through many lots."""
    page.locator(".list").get_by_role("link", name="THS-24A", exact=True).click()
    page.wait_for_url("**/batches/*/")


def pot_up_forty(page):
    """Fill in a potting, and look at what a plant will cost after it."""
    page.locator(".list tbody a").first.click()
    page.get_by_role("link", name="Pot up", exact=True).first.click()
    page.fill("[name=quantity]", "40")
    page.click("#check-button")
    page.locator(".foresight .sentence:not([hidden])").wait_for()


def tap_a_word(page):
    """Look up what the strike of a batch is."""
    open_the_batch(page)
    page.locator(".term button", has_text="struck").click()
    page.locator(".meaning:popover-open").wait_for()


def as_it_opens(page):
    """Leave the page as it is."""


TOUR = [
    ("today-phone", PHONE, "/", as_it_opens, "{today:%A, %-d %B}"),
    (
        "availability-phone",
        PHONE,
        "/availability/?container=%231",
        as_it_opens,
        "Which #1 plants are free to sell?",
    ),
    ("sell-phone", PHONE, "/sell/", pick_two, "What is being bought?"),
    ("write-off-phone", PHONE, "/write-off/", walk_the_house, "Write off"),
    ("lot-phone", PHONE, "/search/?q=THS-25A-1B", as_it_opens, "Thuja occidentalis 'Smaragd'"),
    ("pot-up-phone", PHONE, "/lots/?stage=liner", pot_up_forty, "Pot up from"),
    ("word-phone", PHONE, "/batches/?plant=Smaragd", tap_a_word, "Thuja occidentalis 'Smaragd'"),
    ("margin-wide", WIDE, "/books/margin/", as_it_opens, "What is left of each sale?"),
    ("lot-wide", WIDE, "/search/?q=THS-24A-3", as_it_opens, "Thuja occidentalis 'Smaragd'"),
    ("batch-wide", WIDE, "/batches/?plant=Smaragd", open_the_batch, "Thuja occidentalis 'Smaragd'"),
]


@pytest.mark.parametrize(
    ("name", "kind", "address", "act", "heading"), TOUR, ids=[row[0] for row in TOUR]
)
def test_the_page_of_each_picture_is_what_it_says(
    name, kind, address, act, heading, demo, somebody
):
    person = somebody(demo, **kind)
    person.open(address)
    open_exactly(person.page, address)
    act(person.page)

    assert heading.format(today=date.today()) in person.page.inner_text("h1")
    assert TAKES_PICTURES or (PICTURES / f"{name}.png").exists()
    if TAKES_PICTURES:
        person.page.wait_for_load_state("networkidle")
        keep(name, person.page.screenshot())


def open_exactly(page, address):
    """Of what a search found, open what bears just that code."""
    code = address.partition("?q=")[2]
    if code and "/search/" in page.url:
        page.locator("main").get_by_role("link", name=code, exact=True).first.click()
        page.wait_for_url("**/[lb][oa]t*/*/")


def test_the_invoice_on_paper_bears_its_number(demo, somebody, tmp_path):
    person = somebody(demo, **WIDE)
    person.open("/invoices/?state=open")
    person.press(person.page.locator(".list tbody a").first)
    heading = person.page.locator("h1", has_text="Invoice").inner_text()
    number = heading.removeprefix("Invoice ")
    paper = tmp_path / "invoice.pdf"
    link = person.page.locator("a:has-text('as PDF')").get_attribute("href")
    paper.write_bytes(person.page.request.get(link).body())

    assert number in pypdf.PdfReader(paper).pages[0].extract_text()
    assert TAKES_PICTURES or (PICTURES / "invoice.png").exists()
    if TAKES_PICTURES:
        with PdfDocument(paper) as pages, io.BytesIO() as drawn:
            pages[0].render().to_pil().save(drawn, "PNG")
            keep("invoice", drawn.getvalue())


def keep(name, drawn: bytes):
    """Keep a picture in few colours, so that a clone stays small."""
    PICTURES.mkdir(exist_ok=True)
    picture = Image.open(io.BytesIO(drawn)).convert("RGB")
    small = picture.quantize(COLOURS, dither=Image.Dither.NONE)
    small.save(PICTURES / f"{name}.png", optimize=True)


def test_no_picture_is_large():
    sizes = {path.name: path.stat().st_size for path in PICTURES.glob("*.png")}

    assert sizes
    assert not {name: size for name, size in sizes.items() if size > LARGEST}
