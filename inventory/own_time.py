"""Whether the grower's own time counts in what a page shows."""

from collections.abc import Sequence

from django.http import HttpRequest

from inventory.costing.categories import CATEGORIES, OWN_TIME, PAID
from nursery.context import current_nursery

ASKED = {"with": CATEGORIES, "without": PAID}


def counted_in(request: HttpRequest) -> tuple[str, ...]:
    """Return the categories a page counts: as its address asks, else as the nursery is set."""
    return ASKED.get(request.GET.get("own_time", ""), counted_by_default())


def counted_by_default() -> tuple[str, ...]:
    """Return the categories that the nursery counts in what plants cost."""
    return CATEGORIES if current_nursery().counts_own_time else PAID


def word_for(counted: Sequence[str]) -> str:
    """Return the word an address asks by for those categories."""
    return "with" if OWN_TIME in counted else "without"
