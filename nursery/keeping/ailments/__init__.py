"""What can be wrong with a ledger: each look yields what it found, and the way out."""

from collections.abc import Callable, Iterator

from django.db import Error

from nursery.keeping.ailments import around, books, engine, guards
from nursery.keeping.ailments.ailment import GRAVE, SMALL, Ailment
from nursery.keeping.errors import CannotKeep

__all__ = ["GRAVE", "SMALL", "Ailment", "found"]

# Where one of these finds something, what the database holds cannot be judged any further.
FIRST_LOOKS = (engine.damage, engine.answer, engine.tables)
LOOKS = (
    *(engine.journal, engine.leftovers),
    *(guards.columns, guards.triggers, guards.rules, guards.keys, guards.unchecked),
    *(books.books, books.numbers, books.clock, books.papers),
)
AROUND = (
    *(around.room, around.network_drive, around.copies, around.same_disk, around.halves),
    *(around.secrets, around.strangers, around.libraries, around.packages),
)


def found() -> list[Ailment]:
    """Look at everything and return what is wrong. One look that fails hides none of the others."""
    seen: list[Ailment] = []
    for look in FIRST_LOOKS:
        seen += _looked(look)
        if seen:
            break
    else:
        for look in LOOKS:
            seen += _looked(look)
    for look in AROUND:
        seen += _looked(look)
    return seen


def _looked(look: Callable[[], Iterator[Ailment]]) -> Iterator[Ailment]:
    try:
        yield from look()
    except (Error, CannotKeep, OSError) as error:
        words = f"It could not be told whether {look.__doc__.splitlines()[0][4:-1]}: {error}"
        yield Ailment(GRAVE, words.strip(), "Mend what is named above first, then look again.")
