"""Say the words of documents in the language of who reads them.

A word stands in the templates and in Python as it is in English. The other languages are
in `languages/*.po`, read as they are: nothing is compiled. Money, dates and lists of words
are written by Babel from the CLDR.
"""

import functools
from collections.abc import Iterable
from pathlib import Path

from babel import Locale, UnknownLocaleError
from babel.lists import format_list
from babel.messages.pofile import read_po
from django.utils import translation

from inventory.models.letterhead import LANGUAGES
from nursery.context import current_locale

FOLDER = Path(__file__).parent / "languages"
SOURCE = "en"


def speaking(language: str, country: str = ""):
    """Return a context in which documents speak a language, as that country writes it.

    Where the CLDR knows no such pair, as French in the USA, the language alone decides.
    """
    known = language if language in dict(LANGUAGES) else SOURCE
    try:
        tag = str(Locale.parse(f"{known}_{country}")) if country else known
    except (UnknownLocaleError, ValueError):
        tag = known
    return translation.override(tag.replace("_", "-"))


def say(text: str, **values) -> str:
    """Return an English word or sentence in the language spoken, its {names} filled in.

    What no catalogue has, such as the name a nursery gave its tax, stays as it is.
    """
    language = current_locale().partition("_")[0]
    spoken = catalogue(language).get(text) or text
    return spoken.format(**values) if values else spoken


def say_list(words: Iterable[str]) -> str:
    """Return words said and joined as the language joins them: "bar und Scheck"."""
    return format_list([say(word) for word in words], locale=current_locale())


@functools.cache
def catalogue(language: str) -> dict[str, str]:
    """Return {English: translation} of a language; of English, and of any other, nothing."""
    path = FOLDER / f"{language}.po"
    if not path.exists():
        return {}
    with path.open("rb") as file:
        return {message.id: message.string for message in read_po(file) if message.id}
