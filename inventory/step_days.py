"""How a step's days are read and written in words: "10 to 14 weeks after the start"."""

import calendar
import re

from inventory.models import MethodStep

Timing = MethodStep.Timing
WEEK = 7
LONGEST_DAYS = 2000
ABOUT = {
    Timing.LAST_FROST: "the last frost",
    Timing.FIRST_FROST: "the first frost",
    Timing.SEASON_START: "the season begins",
    Timing.SEASON_END: "the season ends",
}
_OFFSET = re.compile(
    r"(?P<sign>[-−+]?)\s*(?P<number>\d{1,4})\s*(?P<unit>d|days?|w|wks?|weeks?)?"
    r"\s*(?P<side>before|after|later)?"
)
_UNITS = {"d": 1, "w": WEEK}


def read_offset(text: str) -> int:
    """Read "10 weeks", "14" or "2 weeks before" as days, those before negative.

    Raises ValueError for anything else.
    """
    match = _OFFSET.fullmatch(" ".join(text.lower().split()))
    if match is None:
        raise ValueError(f"“{text}” is no number of days. Write 14, 10 weeks, or 2 weeks before.")
    days = int(match["number"]) * _UNITS[(match["unit"] or "d")[0]]
    if days > LONGEST_DAYS:
        raise ValueError(f"“{text}” is more than five years. Write {LONGEST_DAYS} days or fewer.")
    is_before = match["side"] == "before" or match["sign"] in ("-", "−")
    return -days if is_before else days


def offset_words(days: int) -> str:
    """Write days as they are read: "10 weeks", "5 days", "2 weeks before"."""
    return _size(abs(days), _is_weeks(days)) + (" before" if days < 0 else "")


def timing_words(step: MethodStep) -> str:
    """Say when it is time for a step: "10 to 14 weeks after the start"."""
    if step.timing == Timing.CALENDAR:
        first = f"{step.first_day} {calendar.month_name[step.first_month]}"
        return f"{first} to {step.last_day} {calendar.month_name[step.last_month]}"
    if step.timing == Timing.DAYS:
        what = f"“{step.after.name}”" if step.after else "the start"
    else:
        what = ABOUT[step.timing]
    return _stretch(step.from_days, step.to_days, what)


def _stretch(first, last, what):
    weeks = _is_weeks(first) and _is_weeks(last)
    if first == last:
        when = "before" if first < 0 else "after"
        return f"{_size(abs(first), weeks)} {when} {what}" if first else f"with {what}"
    if first < 0 < last:
        return f"{_size(-first, weeks)} before to {_size(last, weeks)} after {what}"
    if last <= 0:
        until = f"to {-last // (WEEK if weeks else 1)} " if last else ""
        number = f"{-first // (WEEK if weeks else 1)} {until}{'weeks' if weeks else 'days'}"
        return f"{number} before {what}"
    if first == 0:
        return f"up to {_size(last, weeks)} after {what}"
    return f"{first // (WEEK if weeks else 1)} to {_size(last, weeks)} after {what}"


def _is_weeks(days):
    return days % WEEK == 0


def _size(days, weeks):
    number, unit = (days // WEEK, "week") if weeks and days else (days, "day")
    return f"{number} {unit}{'s' * (number != 1)}"
