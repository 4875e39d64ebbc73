"""Which copies have outlived their use."""

from collections.abc import Iterable
from datetime import datetime, timedelta


def outlived(
    moments: Iterable[datetime], now: datetime, all_days: int = 7, daily_days: int = 30
) -> set[datetime]:
    """Return those copies that need not be kept.

    All of the last `all_days` stay, of each day of the last `daily_days` its last one, and of
    each month before that its last one, for ever.
    """
    spans = timedelta(all_days), timedelta(daily_days)
    kept: dict[tuple, datetime] = {}
    every = sorted(moments)
    for moment in every:
        kept[_span(moment, now, *spans)] = moment
    return set(every) - set(kept.values())


def _span(moment: datetime, now: datetime, all_for: timedelta, daily_for: timedelta) -> tuple:
    """Name the span of time of which one copy is enough."""
    age = now - moment
    if age <= all_for:
        return (moment,)
    if age <= daily_for:
        return (moment.year, moment.month, moment.day)
    return (moment.year, moment.month)
