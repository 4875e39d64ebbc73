"""Suggest how a plant in a notebook is written by the codes, and which known one it may be.

A suggestion is only that: the grower says whether it is right. What is written well already,
or differs from a known name only in capitals, quotes and ×, needs no word.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache

from inventory.names import JOINING_WORDS, REMEMBERED, clean_name, parts, search_key
from inventory.notebook.vocabulary import GENERA

NEAR_GENUS, NEAR_SPECIES, NEAR_NAME = 0.8, 0.78, 0.86
# Of the signs of two names that are near no larger share is in one of them alone.
MOST_UNLIKE = 1 - NEAR_NAME
MOST_COMPARED = 150
MOST_SEARCHED = 1_000
LETTERS_OF_A_WORD, LETTERS_OF_A_SHOUT = 3, 5
_NOT_NAMED_SO = re.compile(r"\d|[#/,;()]|\b(?:var|subsp|ssp|f|sp|spp)\.")


@dataclass(frozen=True)
class Reading:
    """What a spelling stands for: a name, or the names to choose from where it must be asked."""

    name: str
    offers: tuple[str, ...] = ()
    is_new: bool = False

    @property
    def is_open(self) -> bool:
        return bool(self.offers)


class PlantNames:
    """Readings of all spellings of a file, each worked out once.

    `known` are the ledger's plants, {search key: name}; `answers` what the grower said,
    {spelling: name}. Spellings that stand for one name count together: of two new names that
    are near each other, the rarer is asked about. `unsearched` counts those that were compared
    with no other, because of MOST_SEARCHED.
    """

    def __init__(
        self,
        spellings: Counter,
        known: Mapping[str, str],
        common: Mapping[str, str],
        answers: Mapping[str, str],
    ):
        self.known, self.common = known, common
        self.buckets = defaultdict(list)
        self.names: dict[str, str] = {}
        self.cultivars: dict[tuple[str, str], str] = {}
        for key, name in known.items():
            self._list(key, name)
        self.readings: dict[str, Reading] = {}
        self.searched = self.unsearched = 0
        self.by_codes = {spelling: by_the_codes(spelling) for spelling in spellings}
        self.written_well: dict[str, str] = {}
        rows = Counter()
        for spelling, number in spellings.items():
            rows[self._key(spelling)] += number
            if not self.by_codes[spelling]:
                self.written_well.setdefault(search_key(spelling), clean_name(spelling))
        for spelling in sorted(
            spellings, key=lambda one: (-rows[self._key(one)], -spellings[one], one)
        ):
            self.readings[spelling] = self._read(spelling, answers.get(spelling, ""))

    def _key(self, spelling):
        return search_key(self.by_codes[spelling] or spelling)

    def _read(self, spelling, answer):
        if answer:
            return self._settled(answer)
        same = self.known.get(search_key(spelling))
        if same:
            return Reading(same)
        if spelling.casefold() in self.common:
            return Reading(spelling, (self.common[spelling.casefold()],))
        key, written, by_codes = self._key(spelling), clean_name(spelling), self.by_codes[spelling]
        well = self.written_well.get(search_key(spelling))
        full = self._of_that_cultivar(by_codes or written)
        offers = dict.fromkeys(filter(None, (full, self._near(key), not well and by_codes)))
        offers.pop(written, None)
        if not offers:
            return self._settled(well or written)
        if not well and key not in self.names and next(iter(offers)) == by_codes:
            self._list(key, by_codes)
        return Reading(written, tuple(offers))

    def _settled(self, name):
        key = search_key(name)
        if key in self.known:
            return Reading(self.known[key])
        if key not in self.names:
            self._list(key, clean_name(name))
        return Reading(self.names[key], is_new=True)

    def _list(self, key, name):
        self.names[key] = name
        self.buckets[_bucket(key)].append(key)
        written = parts(name)
        if written.rest and written.cultivar:
            self.cultivars[written.genus, written.cultivar.casefold()] = name

    def _of_that_cultivar(self, name):
        """Return the full name of a genus and cultivar that leave the species out."""
        written = parts(name)
        if written.rest or not written.cultivar:
            return ""
        return self.cultivars.get((written.genus, written.cultivar.casefold()), "")

    def _near(self, key):
        """Return the nearest name known or in the file; numbers in it must be the same."""
        if key in self.names:
            return ""
        if self.searched == MOST_SEARCHED:
            self.unsearched += 1
            return ""
        self.searched += 1
        letters = _letters(key)
        like = tuple(
            other
            for other in self.buckets[_bucket(key)][:MOST_COMPARED]
            if (letters ^ _letters(other)).bit_count() <= MOST_UNLIKE * (len(key) + len(other))
        )
        near = _nearest(key, like)
        return self.names[near] if near else ""


@lru_cache(2 * MOST_SEARCHED)
def _nearest(key: str, like: tuple[str, ...]) -> str:
    return next(iter(get_close_matches(key, like, n=1, cutoff=NEAR_NAME)), "")


@lru_cache(REMEMBERED)
def _letters(key: str) -> int:
    """Return a bit for each letter there is: names that differ in many are not near."""
    bits = 0
    for letter in key:
        bits |= 1 << ord(letter) % 64
    return bits


def _bucket(key: str) -> tuple:
    """Return what near names have in common: how they begin, and the numbers in them."""
    return key[:3], *re.findall(r"\d+", key)


@lru_cache(REMEMBERED)
def by_the_codes(text: str) -> str:
    """Return a botanical name from its abbreviated or unquoted spelling; nothing where unsure.

    "thuja occ. smaragd" is Thuja occidentalis 'Smaragd': the genus and the species are looked
    up, what follows is the cultivar (ICNCP, 9th edition: in single quotation marks).
    """
    written = parts(text)
    stem = f"{written.genus} {written.rest}" if written.cultivar else clean_name(text)
    if _NOT_NAMED_SO.search(stem) or written.after or "×" in stem.split(" ")[1:2]:
        return ""
    words = [word for word in stem.replace("×", "").split() if word.casefold() not in ("x", "cv.")]
    genus = _looked_up(words[0], _genera(), NEAR_GENUS) if words else ""
    if not genus:
        return ""
    rest, species = words[1:], ""
    if rest:
        species = _looked_up(rest[0], _species(genus), NEAR_SPECIES)
        rest = rest[1:] if species else rest
    if (
        not species
        and rest
        and (rest[0].endswith(".") or _may_be_species(rest[0], rest[1:], written))
    ):
        return ""
    cultivar = _capitals(written.cultivar or " ".join(rest))
    if written.cultivar and rest:
        return ""
    quoted = f"'{cultivar}'" if cultivar else ""
    right = clean_name(" ".join(filter(None, (genus, species, quoted))))
    return "" if right == clean_name(text) else right


def _may_be_species(word, further, written):
    """Tell a small word that the list does not have: a species, unless a cultivar is wanted."""
    return word[:1].islower() and (bool(further) or bool(written.cultivar) or len(word) > 9)


@cache
def _genera() -> dict[str, str]:
    return _plain(GENERA)


@cache
def _species(genus: str) -> dict[str, str]:
    return _plain(GENERA[genus])


def _plain(names: Iterable[str]) -> dict[str, str]:
    """Return names by what is typed of them: without × and capitals."""
    return {name.lstrip("×").casefold(): name for name in names}


def _looked_up(word: str, plain: Mapping[str, str], cutoff: float) -> str:
    """Return the one name that a word is, abbreviates with a full stop, or nearly is."""
    wanted = word.casefold().rstrip(".")
    if wanted in plain:
        return plain[wanted]
    beginning = [name for name in plain if name.startswith(wanted)]
    if len(beginning) == 1 and (word.endswith(".") or len(wanted) >= LETTERS_OF_A_WORD):
        return plain[beginning[0]]
    if word.endswith("."):
        return ""
    near = get_close_matches(wanted, plain, n=1, cutoff=cutoff)
    return plain[near[0]] if near else ""


def _capitals(epithet: str) -> str:
    """Begin each word of an epithet with a capital, but joining words (ICNCP, 9th edition).

    Words with capitals of their own stay, unless all of it is shouted: 'DVP' may be a name,
    'SMARAGD' is none.
    """
    if epithet.isupper() and len(epithet) >= LETTERS_OF_A_SHOUT:
        epithet = epithet.lower()
    first, *others = epithet.split(" ")
    later = (word if word in JOINING_WORDS.split() else _capital(word) for word in others)
    return " ".join((_capital(first), *later))


def _capital(word: str) -> str:
    return word if any(letter.isupper() for letter in word) else word.capitalize()
