"""Say in words what is held, as every page and refusal says it."""

from collections.abc import Iterable
from datetime import date

from sales.models import HoldLine
from sales.queries.put_out import PutOut


def held_words(parts: Iterable[tuple[HoldLine | PutOut, int]]) -> str:
    """Return "12 are held: 7 for Ashby Yard until 12 March 2027, 5 for …. ", or nothing."""
    sums: dict[tuple, int] = {}
    for line, plants in parts:
        keeper = (line.keeper, line.until)
        sums[keeper] = sums.get(keeper, 0) + plants
    if not sums:
        return ""
    each = ", ".join(
        f"{plants} for {keeper.party}" + (f" until {day_words(until)}" if until else "")
        for (keeper, until), plants in sums.items()
    )
    held = sum(sums.values())
    return f"{held} {'is' if held == 1 else 'are'} held: {each}. "


def day_words(day: date) -> str:
    """Return a day as it is spoken: 12 March 2027."""
    return f"{day.day} {day:%B %Y}"
