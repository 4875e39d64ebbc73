"""Ask other apps on which document plants left or came back.

The ledger of plants does not know that sales exist. An app that writes documents
registers a source when it is ready, and pages here can name and link them.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Paper:
    """A document as a growing page shows it: its number, whom it names, where it is."""

    number: str
    party: str
    url: str
    undo_url: str


Source = Callable[[list[int]], dict[int, Paper]]
_sources: list[Source] = []


def register_papers(source: Source) -> None:
    """Let `source` name the documents of operations, given by their keys."""
    if source not in _sources:
        _sources.append(source)


def papers_of(operations: Iterable[int]) -> dict[int, Paper]:
    """Return {operation: its document} for those operations that have one."""
    wanted = list(operations)
    found: dict[int, Paper] = {}
    for source in _sources if wanted else []:
        found.update(source(wanted))
    return found
