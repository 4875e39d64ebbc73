"""Put the nursery's calendar together from what both apps know is to come.

Another source joins by standing in `SOURCES`.
"""

from datetime import date

from inventory.queries import coming as growing
from nursery.calendars import Event, Source, gathered
from sales.queries import coming as selling

SOURCES: tuple[Source, ...] = (
    growing.ready_days,
    growing.counts_due,
    growing.steps_due,
    growing.targets_to_stick,
    growing.walks,
    selling.holds_end,
)


def coming_events(on: date) -> list[Event]:
    """Return what is to come, and what came not long ago, the earliest first."""
    return gathered(SOURCES, on)
