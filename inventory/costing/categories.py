"""Name the cost categories, in the order in which screens and reports show them.

The grower's own time stands last and by itself: it is a cost like the others, but nobody
is paid for it, so a grower may want to see what plants cost with it or without.
"""

from collections.abc import Sequence

OWN_TIME = "own_time"
PAID = (
    "cuttings",
    "plants",
    "medium",
    "containers",
    "feed",
    "labour",
    "heat",
    "space",
    "royalty",
    "other",
)
CATEGORIES = (*PAID, OWN_TIME)


def cost_of(holding: Sequence[int], counted: Sequence[str] = CATEGORIES) -> int:
    """Return the cost in plants and amounts by category, of CATEGORIES or of PAID alone."""
    return sum(holding[1 : 1 + len(counted)])
