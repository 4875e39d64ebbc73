"""A new ledger: no page is bare, each says what would be there and leads on."""

import re

import pytest
from django.urls import NoReverseMatch, get_resolver, reverse

from tests.browser.walking import DRAWN, FETCHED, WRITTEN_TO, names_under
from tests.factories import BuyerFactory, NurseryFactory, PlantFactory, UserFactory

# A list or a report is one of these, or a form, or one that is never empty.
NEVER_EMPTY = {
    *("container-list", "help", "first-season", "settings", "sell", "sell-waiting", "search"),
    *("closing", "expected-losses", "today", "books", "accounts", "notebook", "calendar"),
    "hormone",
    # Whoever reads them is in them.
    *("helper-list", "deed-list", "your-account"),
}


@pytest.fixture
def owner(client, db):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def main_of(client, address):
    answer = client.get(address, follow=True)
    if answer.status_code != 200 or "<main" not in answer.text:
        return None
    return answer.text.partition("<main")[2].partition("</main>")[0]


def pages_without_a_row():
    """Yield each page whose address names no row of the ledger."""
    for app in ("inventory:", "sales:", ""):
        names = set(names_under(get_resolver().url_patterns)) - WRITTEN_TO - DRAWN - FETCHED
        for name in sorted(names):
            try:
                yield name, reverse(app + name)
            except NoReverseMatch:
                continue


def test_every_page_of_a_new_ledger_says_what_would_be_there_and_leads_on(owner):
    read = {name: main_of(owner, address) for name, address in pages_without_a_row()}
    pages = {name: text for name, text in read.items() if text}

    assert len(pages) > 40
    assert not {name for name, text in pages.items() if 'class="nothing"' in text}, "bare table"
    zeros = re.compile(r'class="amount">\s*[^\w<]?0(\.0+)?%?<')
    assert not {name for name, text in pages.items() if zeros.search(text)}, "page of zeros"
    shown = {name for name, text in pages.items() if 'class="empty"' in text}
    forms = {name for name, text in pages.items() if 'method="post"' in text}
    bare = set(pages) - shown - forms - NEVER_EMPTY
    assert not bare
    links = {name: re.findall(r'<a [^>]*class="button', pages[name]) for name in shown}
    assert not {name for name, found in links.items() if not found}, "leads nowhere"


def test_a_plant_and_a_buyer_without_any_history_say_so(owner):
    plant, buyer = PlantFactory(), BuyerFactory()

    assert "Its lots show here as soon as" in main_of(owner, f"/plants/{plant.pk}/")
    assert "Nothing was sold to them yet" in main_of(owner, f"/buyers/{buyer.pk}/")
    assert "No plant matches." in main_of(owner, "/plants/?name=zzz")
