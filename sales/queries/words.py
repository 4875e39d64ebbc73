"""Say in words what is held, as every page and refusal says it."""

from collections.abc import Iterable
from datetime import date

from sales.models import HoldLine


def held_words(parts: Iterable[tuple[HoldLine, int]]) -> str:
    """Return "12 are held: 7 for Ashby Yard until 12 March 2027, 5 for …. ", or nothing."""
    sums: dict[int, list] = {}
    for line, plants in parts:
        sums.setdefault(line.hold_id, [line.hold, 0])[1] += plants
    if not sums:
        return ""
    each = ", ".join(
        f"{plants} for {hold.buyer} until {day_words(hold.until)}" for hold, plants in sums.values()
    )
    held = sum(plants for _, plants in sums.values())
    return f"{held} {'is' if held == 1 else 'are'} held: {each}. "


def day_words(day: date) -> str:
    """Return a day as it is spoken: 12 March 2027."""
    return f"{day.day} {day:%B %Y}"
