"""Documents speak English, German, French and Spanish, and none of them in part."""

import re
from datetime import date
from decimal import Decimal
from string import Formatter

import pytest

from inventory.size_words import TOLD
from nursery.settings import ROOT
from nursery.templatetags.nursery_tags import plain
from sales.documents.papers import DELIVERY
from sales.documents.stand_sheet import BOX_WORDS
from sales.documents.words import FOLDER, catalogue, say, say_list, speaking
from sales.models import Payment
from sales.offering import COLUMNS
from sales.queries.document_page import SETTLED_BESIDES
from sales.templatetags.paper_tags import day, in_fours, passport_title, rate

PAPERS = ROOT / "templates" / "documents"
# These never leave the nursery: they speak its English, as its screens do.
STAY_AT_HOME = {"year.html", "taxed.html", "pick_list.html", "week_sheet.html"}
SPOKEN = [path for path in sorted(PAPERS.glob("*.html")) if path.name not in STAY_AT_HOME]
# A piece that a page of the ledger shows as well.
SPOKEN.append(ROOT / "templates" / "sales" / "_statement_words.html")
SPOKEN.append(PAPERS / "availability.txt")
# What a buyer sees who opens a link.
SPOKEN.append(ROOT / "templates" / "sales" / "shared.html")
SPOKEN.extend(sorted((ROOT / "templates" / "public").glob("*.html")))
SAID = re.compile(r'{% say "([^"]+)"')
# What stands on paper alike in every language: two names of banks' standards, and the
# letters that Regulation (EU) 2016/2031 gives the fields of a plant passport.
ALIKE = {"PDF", "IBAN", "BIC", "A", "B", "C", "D"}
# What the form on the web says, its refusals and the answer to it.
ASKED = {
    "Your name",
    "E-mail",
    "Phone",
    "Message",
    "How many {plant}?",
    "Please read it once more and press again.",
    "Please give your name.",
    "Please give an e-mail address or a phone number, so that we can answer.",
    "Please say how many plants you want, or write a message.",
    "That is more than fits into one request. Please send it in parts.",
    "Please give each number of plants as a whole number.",
    "Many requests came in within the hour. Please try later, or call us.",
    "Your request to {nursery}",
    "Thank you for your request:",
}
IN_PYTHON = {
    *("Invoice", "Receipt", "Credit note", "Plant Passport", "Page {page} of {pages}"),
    *(way.label for way in Payment.Method if way not in SETTLED_BESIDES),
    *SETTLED_BESIDES.values(),
    DELIVERY,
    *(column.heading for column in COLUMNS.values()),
    *("now", "yes"),
    *TOLD.values(),
    *BOX_WORDS.values(),
    *("New: {plant}", "Gone: {plant}", "available", "{number} available"),
    *("ready from {day}", "{price} each"),
    *ASKED,
}
LANGUAGES = sorted(path.stem for path in FOLDER.glob("*.po"))


def words_said():
    return IN_PYTHON.union(*(SAID.findall(path.read_text("utf-8")) for path in SPOKEN))


def test_the_languages_are_those_asked_for():
    assert LANGUAGES == ["de", "es", "fr"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_word_of_every_document_is_in_every_language(language):
    found = catalogue(language)

    assert words_said() - set(found) == set(), "say these too"
    assert set(found) - words_said() == set(), "no paper says these any more"
    assert [word for word, spoken in found.items() if not spoken] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_translation_fills_in_the_same_names(language):
    def names(text):
        return {name for _, name, _, _ in Formatter().parse(text) if name}

    for word, spoken in catalogue(language).items():
        assert names(word) == names(spoken), word


@pytest.mark.parametrize("path", SPOKEN, ids=lambda path: path.name)
def test_no_word_is_written_into_a_document_unsaid(path):
    text = path.read_text("utf-8")
    for tag in (r"{#.*?#}", r"<style>.*?</style>", r"{%.*?%}", r"{{.*?}}", r"<[^>]*>", r"&\w+;"):
        text = re.sub(tag, " ", text, flags=re.DOTALL)

    assert set(re.findall(r"[^\W\d_]+", text)) <= ALIKE


# Unicode CLDR (release 44 and later) by the locale's own patterns: dateFormats/long,
# decimalFormats, percentFormats, listPatterns; from memory, and as Babel carries them.
@pytest.mark.parametrize(
    ("language", "country", "on", "number", "percent", "ways"),
    [
        ("en", "US", "April 10, 2025", "12,400.5", "6.25%", "cash, card, and cheque"),
        ("en", "GB", "10 April 2025", "12,400.5", "6.25%", "cash, card and cheque"),
        ("de", "DE", "10. April 2025", "12.400,5", "6,25\xa0%", "bar, Karte und Scheck"),
        ("de", "CH", "10. April 2025", "12’400.5", "6.25%", "bar, Karte und Scheck"),
        ("fr", "FR", "10 avril 2025", "12\u202f400,5", "6,25\xa0%", "espèces, carte et chèque"),
        ("es", "ES", "10 de abril de 2025", "12.400,5", "6,25\xa0%", "efectivo, tarjeta y cheque"),
        # The CLDR has no French of the USA: French as in France.
        ("fr", "US", "10 avril 2025", "12\u202f400,5", "6,25\xa0%", "espèces, carte et chèque"),
    ],
)
def test_days_numbers_and_lists_follow_the_cldr(language, country, on, number, percent, ways):
    with speaking(language, country):
        assert day(date(2025, 4, 10)) == on
        assert plain(Decimal("12400.5")) == number
        assert rate(Decimal("6.2500")) == percent
        assert say_list(["cash", "card", "cheque"]) == ways


def test_a_word_nobody_translated_stays_as_it_is():
    with speaking("de"):
        assert say("Shire levy") == "Shire levy"
    with speaking("tlh"):
        assert say("Invoice") == "Invoice"


def test_a_passport_is_titled_in_the_language_and_in_english():
    with speaking("de", "AT"):
        assert passport_title() == "Pflanzenpass / Plant Passport"
    with speaking("en", "IE"):
        assert passport_title() == "Plant Passport"


def test_an_account_is_written_in_fours():
    # The example number of ISO 13616 for Germany, from memory.
    assert in_fours("DE89370400440532013000") == "DE89 3704 0044 0532 0130 00"
