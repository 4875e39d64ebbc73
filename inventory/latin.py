"""Guess whether a cultivar epithet is in Latin form.

A guess is enough: ICNCP bars new Latin-form epithets from 1 January 1959, and the ledger
only remarks on them.  It cannot tell a Latin word from a girl's name by the ending -a, so
it goes by endings that living languages seldom have and by the adjectives gardens know.
"""

import re

_ENDINGS = re.compile(
    r".{2,}(?:ensis|ense|oides|ianus|iana|ianum|atus|ata|atum|osus|osa|osum|alis|ale|aris"
    r"|issimus|issima|issimum|escens|folius|folia|folium|florus|flora|florum|carpa|carpum"
    r"|phylla|phyllum|cephala|fera|ferum|ii|iae|orum|arum)"
)
_STEMS = (
    "alb argente aure caerule coccine compact conic dens dissect erect glauc horizontal lute "
    "maxim minim nan nigr pendul pict plen prostrat purpure rose rubr sanguine strict"
)
_WORDS = frozenset(
    [stem + ending for stem in _STEMS.split() for ending in ("us", "a", "um")]
    + ["elegans", "major", "minor", "repens", "viridis", "gracilis", "nobilis", "humilis"]
)


def looks_latin(epithet: str) -> bool:
    """Tell whether every word of an epithet looks Latin."""
    words = epithet.casefold().replace("-", " ").split()
    return bool(words) and all(word in _WORDS or _ENDINGS.fullmatch(word) for word in words)
