"""Ask other apps what sold plants brought.

The ledger of plants does not know that sales exist. An app that sells registers a source
when it is ready, and the account of a batch can say what its plants earned.
"""

from collections.abc import Callable, Iterable
from fractions import Fraction

Source = Callable[[list[int]], dict[int, Fraction]]
_sources: list[Source] = []


def register_takings(source: Source) -> None:
    """Let `source` tell what one plant of movements brought, given by their keys."""
    if source not in _sources:
        _sources.append(source)


def unit_prices(movements: Iterable[int]) -> dict[int, Fraction]:
    """Return {movement: what one plant brought before tax} of sales and returns."""
    wanted = list(movements)
    found: dict[int, Fraction] = {}
    for source in _sources if wanted else []:
        found.update(source(wanted))
    return found
