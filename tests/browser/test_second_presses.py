"""A save button pressed twice, the way back, and what a refusal keeps."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE, WITHOUT_SCRIPTS

pytestmark = pytest.mark.sqlite

HANDS = pytest.mark.parametrize("kind", [PHONE, WITHOUT_SCRIPTS], ids=["scripts", "none"])


@pytest.fixture
def lot(workshop) -> dict:
    """Name a lot that can be potted up."""
    return next(row for row in workshop.report("lots") if row["on_hand"] > 40)


@pytest.fixture
def alike(workshop) -> dict:
    """Name a lot that another is like in plant and container, so that the two can be one."""
    rows = [row for row in workshop.report("lots") if row["on_hand"]]
    kinds = [(row["plant"], row["container"]) for row in rows]
    return next(row for row, kind in zip(rows, kinds, strict=True) if kinds.count(kind) > 1)


def open_lot(person, code):
    """Search for a lot, and open it."""
    person.open("/search/?q=" + code)
    if "/lots/" not in person.page.url:
        person.press(person.page.locator("main").get_by_role("link", name=code, exact=True).first)
    person.page.locator("nav.ways").wait_for()


def sold(ledger) -> int:
    return ledger.report("conservation")[0]["plants_sold"]


@HANDS
def test_a_double_tap_sells_once_and_the_way_back_sells_nothing_more(kind, workshop, somebody):
    person, before = somebody(workshop, **kind), sold(workshop)
    person.open("/sell/")
    person.press("button.pick >> nth=0")
    cash = person.page.locator("button[value=cash]")
    cash.dblclick()
    # The second press makes the browser give up the answer to the first, so the page is
    # looked at until it is there.
    expect(person.page).to_have_url(re.compile("/invoices/"))
    number = person.page.inner_text("h1")
    assert sold(workshop) == before + 1

    person.page.go_back()
    if kind.get("java_script_enabled", True):
        # With scripts the way back leads to the next sale, in which nothing is chosen.
        person.page.locator("#stand:not(.begun)").wait_for()
        expect(cash).to_be_hidden()
        assert sold(workshop) == before + 1
        return

    cash.tap()
    expect(person.page).to_have_url(re.compile("/invoices/"))
    assert person.page.inner_text("h1") == number
    assert sold(workshop) == before + 1

    person.undo()
    assert sold(workshop) == before


@HANDS
def test_a_double_tap_takes_out_once_and_the_way_back_nothing_more(kind, workshop, somebody, lot):
    person = somebody(workshop, **kind)
    held = lot["on_hand"]
    open_lot(person, lot["lot"])
    person.press("text=More")
    person.press("text=Use on the place")
    person.page.fill("[name=quantity]", "3")
    person.page.locator("[name=quantity]").blur()
    expect(person.page.locator("#main-button")).to_be_visible()
    person.page.locator("#main-button").dblclick()
    person.page.locator(".said button").wait_for()
    assert on_hand(workshop, lot) == held - 3

    go_back_and_save_again(person)
    assert on_hand(workshop, lot) == held - 3

    person.undo()
    assert on_hand(workshop, lot) == held


@HANDS
@pytest.mark.parametrize("way", ["Move", "Blend into another lot"])
def test_the_way_back_moves_and_blends_nothing_more(way, kind, workshop, somebody, alike):
    """Neither page needs anything typed, so the way back and Save would do it all again."""
    person, before = somebody(workshop, **kind), workshop.figures()
    open_lot(person, alike["lot"])
    if way != "Move":
        person.press("text=More")
    person.press(f"nav.ways >> text={way}")
    person.press("#main-button")
    person.page.locator(".said button").wait_for()
    entries = workshop.operations()

    go_back_and_save_again(person)
    assert workshop.operations() == entries

    person.undo()
    assert workshop.figures() == before
    undone = workshop.operations()
    # What was undone may be entered anew from the page the way back leads to.
    person.page.go_back()
    person.page.go_back()
    person.press("#main-button")
    if person.page.locator(".refusal").count():
        person.press("#main-button")
    person.page.locator(".said button").wait_for()
    assert workshop.operations() == undone + 1
    person.undo()
    assert workshop.figures() == before


def go_back_and_save_again(person):
    """Go back to the form, and press its button as if nothing had been saved."""
    person.page.go_back()
    person.page.locator("#main-button").wait_for()
    person.press("#main-button")
    person.page.locator(".said").get_by_text("This was saved already").wait_for()
    assert person.page.locator("#main-button").count() == 0


def on_hand(ledger, lot) -> int:
    return next(row["on_hand"] for row in ledger.report("lots") if row["lot"] == lot["lot"])


@HANDS
def test_a_refused_form_keeps_what_was_typed_and_says_what_would_be_right(
    kind, workshop, somebody, lot
):
    person, before = somebody(workshop, **kind), workshop.report("lots")
    page = person.page
    open_lot(person, lot["lot"])
    person.press("nav.ways >> text=Count")
    page.fill("[name=on]", "1999-05-01")
    page.fill("[name=found]", "7")
    person.press("summary:text-is('Note')")
    page.fill("[name=note]", "Ten trays behind the door")
    page.locator("[name=note]").blur()
    person.press("#main-button")

    page.locator(".refusal").wait_for()
    assert "Nothing was saved yet" in page.inner_text(".refusal")
    assert page.locator(".refusal li").count() > 0
    assert page.input_value("[name=found]") == "7"
    assert page.input_value("[name=on]") == "1999-05-01"
    assert page.input_value("[name=note]") == "Ten trays behind the door"
    assert workshop.report("lots") == before


@HANDS
def test_more_plants_than_are_free_are_refused_at_the_stand(kind, workshop, somebody):
    person, before = somebody(workshop, **kind), sold(workshop)
    page = person.page
    person.open("/sell/")
    person.press("button.pick >> nth=0")
    page.locator("#sale input[name^=n-]").fill("99999")
    page.locator("#sale input[name^=price-]").fill("3.25")
    person.press("button[value=cash]")

    page.locator(".refusal").wait_for()
    assert re.search(r"\d+ (is|are) free; 99999 cannot be sold", page.inner_text(".refusal"))
    assert page.input_value("#sale input[name^=n-]") == "99999"
    assert page.input_value("#sale input[name^=price-]") == "3.25"
    assert sold(workshop) == before
