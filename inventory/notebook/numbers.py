"""Read numbers the way people write them: 1,200 and 1.200, ca. 40, $3.20 and 3,20 €."""

import re
from collections.abc import Iterable
from decimal import Decimal
from functools import lru_cache

from nursery.money import DECIMAL_PLACES

_AROUND = re.compile(
    r"^(?:ca\.?|approx\.?|about|~|≈|±|x|×)\s*|"
    r"\s*(?:pcs?\.?|pieces?|plants?|pots?|stk\.?|stück|st\.?|ea\.?|x|×)$",
    re.IGNORECASE,
)
_WHOLE = re.compile(r"\d{1,8}|\d{1,3}(?:([,. '’])\d{3})(?:\1\d{3})*")
_WHOLE_WITH_ZEROS = re.compile(r"(\d+)[.,]0+")
_MONEY = re.compile(
    r"\d{1,12}(?:[.,]\d{1,6})?|\d{1,3}(?:[,. '’]\d{3})+(?:[.,]\d{1,2})?|[.,]\d{1,6}"
)
_SIGNS = re.compile(r"[$€£¥]|\b[A-Z]{3}\b|\b(?:each|ea|per plant|kr|zł)\b\.?", re.IGNORECASE)
_THREE_PLACES = re.compile(r"[1-9]\d{0,2}([.,])\d{3}")
MOST = 10_000_000
# The same few numbers stand in most rows of a table.
REMEMBERED = 10_000


@lru_cache(REMEMBERED)
def whole_number(text: str) -> int | None:
    """Return a number of plants, or None for what is no whole number."""
    bare = text
    while bare != (less := _AROUND.sub("", bare).strip()):
        bare = less
    if (match := _WHOLE_WITH_ZEROS.fullmatch(bare)) and not _THREE_PLACES.fullmatch(bare):
        bare = match.group(1)
    if not bare.isascii() or not _WHOLE.fullmatch(bare):
        return None
    number = int(re.sub(r"\D", "", bare))
    return number if number <= MOST else None


def decimal_mark(values: Iterable[str]) -> str:
    """Return the decimal mark a column keeps to, "." or ","; empty where nothing shows it."""
    seen = set()
    for text in values:
        bare = _bare(text)
        if not _MONEY.fullmatch(bare) or _THREE_PLACES.fullmatch(bare):
            continue
        marks = [sign for sign in bare if sign in ".,"]
        if marks:
            last = marks[-1]
            places = len(bare) - bare.rindex(last) - 1
            seen.add(last if places != 3 or marks.count(last) == 1 else ".,".replace(last, ""))
    return seen.pop() if len(seen) == 1 else ""


@lru_cache(REMEMBERED)
def amount(text: str, mark: str) -> Decimal | None:
    """Return an amount of money, or None for what is none or can be read two ways.

    1.250 is one thousand and a quarter where a comma is the decimal mark, else one and a
    quarter; where the column does not show its mark, nobody can tell.
    """
    bare = _bare(text)
    if not _MONEY.fullmatch(bare) or (_THREE_PLACES.fullmatch(bare) and not mark):
        return None
    if _THREE_PLACES.fullmatch(bare):
        decimal = mark if mark in bare else ""
    else:
        marks = [sign for sign in bare if sign in ".,"]
        decimal = marks[-1] if marks else ""
        if decimal and (marks.count(decimal) > 1):
            decimal = ""
    whole, _, rest = bare.rpartition(decimal) if decimal else (bare, "", "")
    digits = re.sub(r"\D", "", whole) or "0"
    return Decimal(f"{digits}.{rest or 0}").quantize(Decimal(1).scaleb(-DECIMAL_PLACES))


def reads_two_ways(text: str, mark: str) -> bool:
    """Tell an amount such as 1.250 in a column that does not show its decimal mark."""
    return not mark and bool(_THREE_PLACES.fullmatch(_bare(text)))


def _bare(text: str) -> str:
    return _SIGNS.sub("", text).strip()
