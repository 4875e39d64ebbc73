"""Put the nursery's calendar together from what both apps know is to come.

Another source joins by standing in `SOURCES`, with the right by which it is seen.
"""

from datetime import date

from inventory.queries import coming as growing
from inventory.rights_of_pages import PLANS, RAISING, STOCK
from nursery.calendars import Event, Source, gathered
from sales.queries import coming as selling
from sales.rights_of_pages import HOLDS

SOURCES: tuple[tuple[str, Source], ...] = (
    (STOCK, growing.ready_days),
    (RAISING, growing.counts_due),
    (RAISING, growing.steps_due),
    (PLANS, growing.targets_to_stick),
    (RAISING, growing.walks),
    (HOLDS, selling.holds_end),
)


def coming_events(on: date, person=None) -> list[Event]:
    """Return what is to come, and what came not long ago, the earliest first.

    A person is told of what they may see; nobody is told of all.
    """
    told = [tell for right, tell in SOURCES if person is None or person.has_perm(right)]
    return gathered(told, on)
