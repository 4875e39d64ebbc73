"""Which copies have outlived their use."""

from collections.abc import Iterable
from datetime import datetime, timedelta

ALL_FOR = timedelta(days=7)
ONE_A_DAY_FOR = timedelta(days=30)


def outlived(moments: Iterable[datetime], now: datetime) -> set[datetime]:
    """Return those copies that need not be kept.

    All of the last 7 days stay, of each day of the last 30 its last one, and of each month
    before that its last one, for ever.
    """
    kept: dict[tuple, datetime] = {}
    every = sorted(moments)
    for moment in every:
        kept[_span(moment, now)] = moment
    return set(every) - set(kept.values())


def _span(moment: datetime, now: datetime) -> tuple:
    """Name the span of time of which one copy is enough."""
    age = now - moment
    if age <= ALL_FOR:
        return (moment,)
    if age <= ONE_A_DAY_FOR:
        return (moment.year, moment.month, moment.day)
    return (moment.year, moment.month)
