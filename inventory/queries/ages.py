"""The age of a lot's plants in words, by the nursery's own seasons."""

from datetime import date

from inventory.age import SEASON_START, age_in_words
from inventory.models import Lot
from inventory.queries.lots import season_end_of
from nursery.context import current_nursery


def age_of(lot: Lot, on: date | None = None) -> str:
    """Return the age class and what it says: "1+1, second season in the pot".

    Needs the lot's container. Plants that came in a pot were potted up elsewhere, on
    a day that is not known here, so nothing is said of that.
    """
    nursery = current_nursery()
    came_potted = lot.container.for_sale and lot.transplanted_on is None
    words = age_in_words(
        lot.began_on,
        lot.transplanted_on,
        on or date.today(),
        (nursery.season_start_month, SEASON_START[1]),
        season_end_of(nursery),
        beginning="in the pot" if came_potted else "rooting",
    )
    return words.removesuffix(", not potted up yet") if came_potted else words
