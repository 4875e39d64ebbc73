"""One thing that is wrong with a ledger, in words and with the way out."""

from collections.abc import Callable
from dataclasses import dataclass

GRAVE, SMALL = "grave", "small"
RESTORE = "Bring the newest proven copy back: python3 manage.py restore FILE"
MEND = "python3 manage.py doctor --mend"


@dataclass(frozen=True)
class Ailment:
    """Something wrong: how grave, in words, the way out, and what mends it where that is safe."""

    gravity: str
    words: str
    way_out: str
    mend: Callable[[], object] | None = None
