"""The words of the ledger: each is explained, once, by a tap and on the help page."""

import re
from pathlib import Path

from django.template import Context, Template
from django.test import RequestFactory

from inventory.views.begin import EXPLAINS
from nursery.glossary import GLOSSARY, MEANINGS, anchor_of
from tests.factories import NurseryFactory, UserFactory, lot_holding

ROOT = Path(__file__).resolve().parent.parent
TAGS = re.compile(r"\{% (?:term|words) ([^%]*)%\}")
# What a grower need not know before reading here; used in a meaning, it must be explained too.
OF_THE_TRADE = re.compile(
    r"\b(abnormal|accru|amortis|blend|carried|credit|debit|deposit|depreciat|expensed|gross|"
    r"inventory|journal|liabilit|liner|net|normal|provision|revenue|royalt|statement|strike|"
    r"valuation|variance|write)"
)


def words_in_templates():
    """Yield each word that a template has explained, with its file."""
    for path in (ROOT / "templates").rglob("*.html"):
        for tag in TAGS.finditer(path.read_text(encoding="utf-8")):
            quoted = re.findall(r'"([^"]+)"', tag[1])
            yield from ((path.name, word) for word in (quoted if "words" in tag[0] else quoted[:1]))


def test_every_word_that_a_page_explains_is_in_the_glossary():
    used = [*words_in_templates(), *(("begin", word) for row in EXPLAINS.values() for word in row)]

    assert len(used) > 60
    assert not {(where, word) for where, word in used if word not in MEANINGS}


def test_no_page_explains_a_word_by_itself():
    by_hand = [
        path.name
        for path in (ROOT / "templates").rglob("*.html")
        if 'include "partials/definition.html' in path.read_text(encoding="utf-8")
    ]

    assert not by_hand, "write the meaning into nursery/glossary.py, and {% term %} on the page"


def test_no_word_is_explained_twice_and_each_has_a_place_of_its_own():
    words = [word for chapter in GLOSSARY for word in chapter.words]

    assert len(words) == len(MEANINGS) == len({anchor_of(word) for word in words})
    assert all(re.fullmatch(r"[a-z0-9-]+", anchor_of(word)) for word in words)


def test_a_meaning_is_short_and_uses_no_word_that_is_not_explained():
    explained = " ".join(MEANINGS)
    unexplained = {
        (word, hard)
        for word, meaning in MEANINGS.items()
        for hard in OF_THE_TRADE.findall(meaning)
        if hard not in explained
    }
    sentences = {word: len(re.findall(r"\.( |$)", MEANINGS[word])) for word in MEANINGS}

    assert not unexplained
    assert not {word for word, number in sentences.items() if not 1 <= number <= 2}
    assert not {word for word, meaning in MEANINGS.items() if len(meaning.split()) > 55}


def test_only_the_first_of_a_word_on_a_page_is_a_tap_and_paper_has_none():
    page = Template('{% load nursery_tags %}{% term "strike" %}, {% term "strike" "struck" %}')

    with_taps = page.render(Context({"request": RequestFactory().get("/")}))

    assert with_taps.count("<button") == 1 and with_taps.endswith("</span>, struck")
    assert 'popovertarget="word-strike"' in with_taps and 'href="/help/#strike"' in with_taps
    assert page.render(Context()) == "strike, struck"


def test_a_lot_page_explains_its_words_where_they_stand(client, db):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    lot = lot_holding(40, size="tray")

    text = client.get(f"/lots/{lot.pk}/").text

    for anchor in ("lot", "age-class", "rooting", "batch"):
        assert text.count(f'id="word-{anchor}"') == 1


def test_help_lists_every_word_and_finds_one_without_scripts(client, db):
    NurseryFactory()
    client.force_login(UserFactory())

    everything = client.get("/help/").text
    found = client.get("/help/", {"word": "Bottom H"}).text

    assert all(f'id="{anchor_of(word)}"' in everything for word in MEANINGS)
    assert 'id="bottom-heat"' in found and 'id="invoice"' not in found
    assert "No word here holds" in client.get("/help/", {"word": "zzz"}).text
