"""Suggest how a plant in a notebook is written by the codes, and which known one it may be.

A suggestion is only that: the grower says whether it is right. What is written well already,
or differs from a known name only in capitals, quotes and ×, needs no word.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from inventory.names import clean_name, parts, search_key
from inventory.notebook.vocabulary import GENERA

NEAR_GENUS, NEAR_SPECIES, NEAR_NAME = 0.8, 0.78, 0.86
MOST_COMPARED = 150
MOST_SEARCHED = 1_000
LETTERS_OF_A_WORD = 3
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
    {spelling: name}. Of two new names that are near each other, the rarer is asked about.
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
        self.searched = 0
        for spelling, _ in sorted(spellings.items(), key=lambda one: (-one[1], one[0])):
            self.readings[spelling] = self._read(spelling, answers.get(spelling, ""))

    def _read(self, spelling, answer):
        if answer:
            return self._settled(answer)
        key = search_key(spelling)
        if key in self.known:
            return Reading(self.known[key])
        if spelling.casefold() in self.common:
            return Reading(spelling, (self.common[spelling.casefold()],))
        written = clean_name(spelling)
        by_codes = by_the_codes(spelling)
        full = self._of_that_cultivar(by_codes or written)
        offers = dict.fromkeys(filter(None, (full, self._near(key), by_codes)))
        offers.pop(written, None)
        return Reading(written, tuple(offers)) if offers else self._settled(written)

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
        if key in self.names or self.searched >= MOST_SEARCHED:
            return ""
        self.searched += 1
        like = self.buckets[_bucket(key)][:MOST_COMPARED]
        near = get_close_matches(key, like, n=1, cutoff=NEAR_NAME)
        return self.names[near[0]] if near else ""


def _bucket(key: str) -> tuple:
    """Return what near names have in common: how they begin, and the numbers in them."""
    return key[:3], *re.findall(r"\d+", key)


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
    genus = _looked_up(words[0], GENERA, NEAR_GENUS) if words else ""
    if not genus:
        return ""
    rest, species = words[1:], ""
    if rest:
        species = _looked_up(rest[0], GENERA[genus], NEAR_SPECIES)
        rest = rest[1:] if species else rest
    if (
        not species
        and rest
        and (rest[0].endswith(".") or _may_be_species(rest[0], rest[1:], written))
    ):
        return ""
    cultivar = written.cultivar or " ".join(map(_capital, rest))
    if written.cultivar and rest:
        return ""
    quoted = f"'{cultivar}'" if cultivar else ""
    return clean_name(" ".join(filter(None, (genus, species, quoted))))


def _may_be_species(word, further, written):
    """Tell a small word that the list does not have: a species, unless a cultivar is wanted."""
    return word[:1].islower() and (bool(further) or bool(written.cultivar) or len(word) > 9)


def _looked_up(word: str, names: Iterable[str], cutoff: float) -> str:
    """Return the one name that a word is, abbreviates with a full stop, or nearly is."""
    plain = {name.lstrip("×").casefold(): name for name in names}
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


def _capital(word: str) -> str:
    return word if any(letter.isupper() for letter in word) else word.capitalize()
