"""A whole life in the browser: from an empty ledger to a margin and an invoice as PDF."""

from decimal import Decimal

import pytest

from tests.browser.conftest import PHONE, Ledger, Person

pytestmark = pytest.mark.sqlite

PLANT = "Thuja occidentalis 'Smaragd'"


@pytest.fixture
def newcomer(chromium, first_start, tmp_path):
    """Stand on a phone at the first page of a ledger that has just been started."""
    first_start.copy_to(tmp_path)
    ledger = Ledger(tmp_path, tmp_path / "ledger.sqlite3").start()
    assert ledger.lines[0] == f"The ledger is open at {ledger.url}/welcome/"
    context = chromium.new_context(base_url=ledger.url, **PHONE)
    context.set_default_timeout(30_000)
    person = Person(context.new_page(), thumb=True)
    yield person, ledger
    context.close()
    assert ledger.stop() == 0


def test_fifty_cuttings_become_three_plants_sold_with_their_margin(newcomer):
    person, ledger = newcomer
    settle_in(person)
    stick_fifty_cuttings(person)
    count_forty_rooted(person)
    pot_up_thirty_and_lose_two(person)
    set_the_price(person)
    sell_three(person)

    # 38.00 is spent on 50 cuttings. 10 do not root and 2 die while 30 are potted up: the 38 that
    # live carry it, 1.00 each. 30.00 of pots and labour make 2.00. Three at 9.50 leave 22.50.
    person.open("/books/margin/")
    assert person.page.inner_text(".answer .amount") == "$22.50"
    [row] = ledger.report("margin", "--by", "plant")
    assert (row["key"], row["sold"]) == (PLANT, 3)
    assert Decimal(row["cost_of_sales"]) == Decimal(6)
    [books] = ledger.report("conservation")
    assert Decimal(books["incurred"]) == 68
    assert Decimal(books["difference"]) == 0
    assert books["plants_on_hand"] == 50 - 10 - 2 - 3


def settle_in(person):
    page = person.page
    person.open("/")
    page.wait_for_url("**/welcome/")
    page.fill("[name=name]", "Quiet Bench Nursery")
    page.check("[name=containers][value='#1']")
    page.check("[name=containers][value=tray]")
    page.fill("[name=username]", "wren")
    page.fill("[name=password1]", "frost-on-the-glass")
    page.fill("[name=password2]", "frost-on-the-glass")
    person.press("text=Open the ledger")
    page.locator("nav.places").wait_for()


def stick_fifty_cuttings(person):
    page = person.page
    person.press("nav.places >> text=Growing")
    person.press("main >> text=Stick cuttings >> nth=0")
    page.fill("[name=plant]", PLANT)
    page.fill("[name=quantity]", "50")
    page.fill("[name=new_place]", "Mist bench")
    person.press("text=What it cost")
    page.fill("[name=cost_cuttings]", "38")
    foreseen(person, "50")
    person.press("#main-button")
    page.locator(".said").get_by_text("50").wait_for()


def foreseen(person, words):
    """Wait until the page says what will be true after, so that the button stands still."""
    person.page.locator(".sentence", has_text=words).wait_for()


def count_forty_rooted(person):
    person.press("main >> text=/rooted/i >> nth=0")
    person.page.fill("[name=alive]", "40")
    foreseen(person, "10")
    person.press("#main-button")
    person.page.locator(".said").get_by_text("40").wait_for()


def pot_up_thirty_and_lose_two(person):
    page = person.page
    person.press("main a:has-text('Pot up') >> nth=0")
    page.fill("[name=quantity]", "30")
    page.select_option("[name=container]", label=container_named(page, "#1"))
    person.press("text=Some were lost on the way")
    page.fill("[name=lost]", "2")
    person.press("text=What it cost")
    page.fill("[name=cost_containers]", "30")
    foreseen(person, "30")
    person.press("#main-button")
    page.locator(".said").get_by_text("2 were lost on the way").wait_for()


def container_named(page, code):
    words = page.locator("[name=container] option").all_inner_texts()
    return next(text for text in words if text.startswith(code))


def set_the_price(person):
    person.press("nav.places >> text=Sell")
    person.press("main >> text=Prices")
    person.page.fill(".cells .cell input.number", "9.50")
    person.press("button:text-is('Save the prices')")
    person.reads("1 price on the stand list set")


def sell_three(person):
    page = person.page
    person.press("nav.places >> text=Sell")
    person.press("button.pick")
    page.locator("#sale .net").wait_for()
    for total in ("$19.00", "$28.50"):
        person.press("#sale button[name=more]")
        page.locator("#sale .net", has_text=total).wait_for()
    person.press("button[value=cash]")
    page.wait_for_url("**/invoices/**")
    paper = page.locator("a:has-text('as PDF')").get_attribute("href")
    answer = page.request.get(paper)
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.body().startswith(b"%PDF")
