"""Read and write age classes: growing seasons before and after the first transplant.

Notations in use, all read here: 2-0 and 2-2 (Minnesota DNR, Seedling Stock Types), 1+0 and
.5+.5 (British Columbia Ministry of Forests), 1u1 for undercut (National Plant Specification),
P+1 for a plug, and 0/1/1 for rooted cuttings (European trade, from memory).
"""

import calendar
import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

MonthAndDay = tuple[int, int]

SEASON_START: MonthAndDay = (4, 1)
SEASON_END: MonthAndDay = (9, 30)

_NUMBER = r"(?:\d+(?:\.\d+)?|\.\d+)"
_PARTS = re.compile(rf"{_NUMBER}([-+/u]){_NUMBER}(?:\1{_NUMBER})*")
_PLUG = re.compile(rf"p[-+/]?({_NUMBER})")
_ORDINALS = (
    *("first", "second", "third", "fourth", "fifth"),
    *("sixth", "seventh", "eighth", "ninth", "tenth"),
)


@dataclass(frozen=True)
class Age:
    """Hold an age as its parts, in years or seasons, in the order in which they were spent.

    `plug`: raised in a container first, for a time that the notation does not tell.
    `undercut`: the roots were cut in the bed between the parts, the plant was not moved.
    `cutting`: no years as a seedling (0/1, 0/1/1).
    """

    parts: tuple[Decimal, ...]
    plug: bool = False
    undercut: bool = False
    cutting: bool = False

    @property
    def total(self) -> Decimal:
        """Add the parts; a plug's own time is not told and not in it."""
        return sum(self.parts, Decimal(0))


def parse_age(text: str) -> Age:
    """Read an age class in any of the usual notations, or raise ValueError."""
    plain = re.sub(r"\s", "", text).lower().replace("–", "-").replace("−", "-").replace("½", ".5")
    if plug := _PLUG.fullmatch(plain):
        return Age(parts=(Decimal(plug.group(1)),), plug=True)
    match = _PARTS.fullmatch(plain)
    if match is None:
        raise ValueError(f"“{text}” is not an age class; write seasons such as 1+1, 2-0 or P+1.")
    mark = match.group(1)
    years = tuple(Decimal(part) for part in plain.split(mark))
    return Age(parts=years, undercut=mark == "u", cutting=mark == "/" and years[0] == 0)


def seasons_ended(start: date, end: date, season_end: MonthAndDay = SEASON_END) -> int:
    """Count the growing seasons whose last day lies behind.

    A last day d counts where start <= d < end: on d itself the season is still running, and
    plants begun on d have had that season.  So the seasons of two spans that meet add up.
    """
    return max(0, _season_ends_before(end, season_end) - _season_ends_before(start, season_end))


def age_class(
    began_on: date,
    transplanted_on: date | None,
    on: date,
    season_end: MonthAndDay = SEASON_END,
) -> str:
    """Write the age on a date as seasons before + seasons after the first transplant."""
    if transplanted_on is None or on < transplanted_on:
        return f"{seasons_ended(began_on, on, season_end)}+0"
    before = seasons_ended(began_on, transplanted_on, season_end)
    after = seasons_ended(transplanted_on, on, season_end)
    return f"{before}+{after}"


def age_in_words(
    began_on: date,
    transplanted_on: date | None,
    on: date,
    season_start: MonthAndDay = SEASON_START,
    season_end: MonthAndDay = SEASON_END,
    *,
    beginning: str = "rooting",
    setting: str = "in the pot",
) -> str:
    """Write the age class and say it: "1+1, second season in the pot".

    `beginning` is what plants do before they are potted up for the first time ("rooting";
    a sowing says "seedlings"), `setting` where they stand afterwards.  South of the equator
    the season runs over the new year, for example from (10, 1) to (3, 31).
    """
    notation = age_class(began_on, transplanted_on, on, season_end)
    is_potted = transplanted_on is not None and transplanted_on <= on
    since = transplanted_on if is_potted else began_on
    ended = seasons_ended(since, on, season_end)
    season = _season_in_words(ended, _in_season(on, season_start, season_end))
    if is_potted:
        return f"{notation}, {season} {setting}"
    if ended == 0:
        return f"{notation}, {beginning}, {season}"
    return f"{notation}, {season}, not potted up yet"


def _season_in_words(ended: int, is_running: bool) -> str:
    if is_running:
        return f"{_ordinal(ended + 1)} season"
    if ended == 0:
        return "before the first season"
    return f"after the {_ordinal(ended)} season"


def _ordinal(number: int) -> str:
    if number <= len(_ORDINALS):
        return _ORDINALS[number - 1]
    ending = (
        "th" if 11 <= number % 100 <= 13 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    )
    return f"{number}{ending}"


def _season_ends_before(day: date, season_end: MonthAndDay) -> int:
    """Number the season ends before a day, counted from the year 1."""
    return day.year - (day <= day_in_year(day.year, season_end))


def day_in_year(year: int, month_and_day: MonthAndDay) -> date:
    """Return the day in that year; 29 February is the 28th in a common year."""
    month, day = month_and_day
    return date(year, month, min(day, calendar.monthrange(year, month)[1]))


def _in_season(on: date, season_start: MonthAndDay, season_end: MonthAndDay) -> bool:
    today = (on.month, on.day)
    if season_start <= season_end:
        return season_start <= today <= season_end
    return today >= season_start or today <= season_end
