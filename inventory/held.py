"""Ask other apps for whom the plants of a lot are held.

The ledger of plants does not know that sales exist. An app that promises plants to buyers
registers a source when it is ready, and pages and reports here can say what is held.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Held:
    """Plants of a lot promised to one buyer until a day, and where that is written.

    With no day they are out at a stand, until it closes. `short` are plants of the
    promise that neither this lot nor another can give.
    """

    plants: int
    party: str
    until: date | None
    url: str
    ahead: bool = False
    short: int = 0


Source = Callable[[date | None], dict[int, list[Held]]]
ShortSource = Callable[[Mapping[int, int], bool], list[Held]]
_sources: list[Source] = []
_short_sources: list[ShortSource] = []


def register_held(source: Source, short: ShortSource) -> None:
    """Let `source` tell {lot: what is held of it} at the end of a day, or now.

    `short` tells which promises would be how much shorter, had lots that many plants fewer.
    """
    if source not in _sources:
        _sources.append(source)
        _short_sources.append(short)


def short_without(taken: Mapping[int, int], *, parted: bool = False) -> list[Held]:
    """Return the promises that fall short now where {lot: plants} leave, each by how much.

    If only `parted` from their lot they are still there, as lots of their own.
    """
    taken = {lot: plants for lot, plants in taken.items() if plants > 0}
    return [row for short in _short_sources for row in short(taken, parted)] if taken else []


def short_words(rows: Iterable[Held]) -> str:
    """Say which promises fall short, or nothing: "3 too few for Ashby Yard until …"."""
    each = "; ".join(
        f"{row.short} too few for {row.party}"
        + (f", held until {row.until.day} {row.until:%B %Y}" if row.until else "")
        for row in rows
    )
    return f"Promised to buyers, and then missing: {each}." if each else ""


def held_of_lots(on: date | None = None) -> dict[int, list[Held]]:
    """Return {lot: for whom its plants are held}; lots of which none are held are left out."""
    found: dict[int, list[Held]] = {}
    for source in _sources:
        for lot, rows in source(on).items():
            found.setdefault(lot, []).extend(rows)
    return found
