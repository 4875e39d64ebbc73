"""Ask other apps for whom the plants of a lot are held.

The ledger of plants does not know that sales exist. An app that promises plants to buyers
registers a source when it is ready, and pages and reports here can say what is held.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Held:
    """Plants of a lot promised to one buyer until a day, and where that is written.

    `short` are plants of the promise that neither this lot nor another can give.
    """

    plants: int
    party: str
    until: date
    url: str
    ahead: bool = False
    short: int = 0


Source = Callable[[date | None], dict[int, list[Held]]]
_sources: list[Source] = []


def register_held(source: Source) -> None:
    """Let `source` tell {lot: what is held of it} at the end of a day, or now."""
    if source not in _sources:
        _sources.append(source)


def held_of_lots(on: date | None = None) -> dict[int, list[Held]]:
    """Return {lot: for whom its plants are held}; lots of which none are held are left out."""
    found: dict[int, list[Held]] = {}
    for source in _sources:
        for lot, rows in source(on).items():
            found.setdefault(lot, []).extend(rows)
    return found
