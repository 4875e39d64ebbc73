"""Read since when plants are there: a date in any style, a season, a year, an age class.

The order of day and month is decided for a column by its evidence: a 25 in the first place
says that days come first. Where both readings stay possible, nobody guesses: it is asked.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from inventory.age import MonthAndDay, parse_age, seasons_ended

DAY_FIRST, MONTH_FIRST = "day", "month"
OLDEST = date(1950, 1, 1)
MOST_SEASONS = 40

_ISO = re.compile(r"(\d{4})[-./](\d{1,2})[-./](\d{1,2})(?:[ T]\d.*)?")
_THREE = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4}|\d{2})")
_YEAR = re.compile(r"(?:19|20)\d\d")
_MONTH_AND_YEAR = re.compile(r"(\d{1,2})[./-]((?:19|20)\d\d)|((?:19|20)\d\d)[./-](\d{1,2})")
_NAMED = re.compile(
    r"(?:(\d{1,2})(?:st|nd|rd|th)?[ .-]+)?([a-z]{3,9})[ .,-]+"
    r"(?:(\d{1,2})(?:st|nd|rd|th)?,? +)?(\d{4}|'?\d{2})"
)
_SEASON = re.compile(
    r"(?:early |mid |late )?(spring|summer|autumn|fall|winter)(?: of)? '?(\d{4}|\d{2})(?:/\d{2,4})?"
    r"|(\d{4}) (spring|summer|autumn|fall|winter)"
)
_YEARS_OLD = re.compile(r"(\d{1,2}) ?(?:y|yr|yrs|years?|seasons?)\.?(?: old)?")
_MONTHS = [
    *("jan", "feb", "mar", "apr", "may", "jun"),
    *("jul", "aug", "sep", "oct", "nov", "dec"),
]
# The first month of each season in the north; half a year later in the south.
_SEASON_MONTHS = {"winter": 1, "spring": 4, "summer": 7, "autumn": 10, "fall": 10}


class Unclear(ValueError):
    """What a cell does not say, and what would be right. `asks` is the question it waits for."""

    def __init__(self, message: str, asks: str = ""):
        super().__init__(message)
        self.asks = asks


@dataclass(frozen=True)
class Since:
    """When plants began, and when they were potted first where that is told."""

    began_on: date
    potted_on: date | None = None


@dataclass(frozen=True)
class Seasons:
    """The nursery's growing season, and the day from which ages are counted back."""

    counted_on: date
    start: MonthAndDay
    end: MonthAndDay

    @property
    def is_south(self) -> bool:
        return self.start > self.end

    def back(self, from_day: date, seasons: int) -> date:
        """Return a day so many ended seasons before: as a season began, or `from_day` itself."""
        for year in range(from_day.year, from_day.year - MOST_SEASONS - 2, -1):
            day = min(date(year, *self.start), from_day)
            if seasons_ended(day, from_day, self.end) >= seasons:
                return day
        raise Unclear(f"{seasons} seasons are too many; write at most {MOST_SEASONS}.")


class DayReader:
    """Reads the dates of one column. `orders` are answers given: {separator: day or month}."""

    def __init__(self, values: Iterable[str], seasons: Seasons, orders: Mapping[str, str]):
        self.seasons, self.orders = seasons, dict(orders)
        self.read_so_far: dict[str, Since | Unclear] = {}
        self.undecided: dict[str, list[str]] = {}
        seen: dict[str, set[str]] = {}
        for match in filter(None, map(_THREE.fullmatch, values)):
            first, mark, second = int(match[1]), match[2], int(match[3])
            if (first > 12) != (second > 12):
                seen.setdefault(mark, set()).add(DAY_FIRST if first > 12 else MONTH_FIRST)
        for mark, found in seen.items():
            if len(found) == 1:
                self.orders.setdefault(mark, found.pop())

    def since(self, text: str) -> Since:
        """Return what a cell says, or raise Unclear."""
        if text not in self.read_so_far:
            try:
                self.read_so_far[text] = self._since(text)
            except Unclear as error:
                self.read_so_far[text] = error
        found = self.read_so_far[text]
        if isinstance(found, Unclear):
            raise found
        return found

    def day(self, text: str) -> date:
        """Return the day a cell names, or raise Unclear; an age is none."""
        return self._day(text)

    def _since(self, text):
        try:
            found = Since(self._day(text))
        except Unclear as error:
            found = None if error.asks else self._by_age(text)
            if found is None:
                raise error from None
        if not OLDEST <= found.began_on <= self.seasons.counted_on:
            raise Unclear(
                f"“{text}” is not before the day of counting, "
                f"{self.seasons.counted_on.isoformat()}; write when they began."
            )
        return found

    def _day(self, text):
        plain = text.casefold()
        for read in (self._iso, self._three, self._month_or_year, self._named, self._season):
            try:
                if day := read(plain):
                    return day
            except ValueError as error:
                if isinstance(error, Unclear):
                    raise
                break
        raise Unclear(
            f"“{text}” is no date; write a day as 2024-04-30, a season, a year or an age as 1+1."
        )

    def _iso(self, text):
        match = _ISO.fullmatch(text)
        return match and date(int(match[1]), int(match[2]), int(match[3]))

    def _three(self, text):
        match = _THREE.fullmatch(text)
        if not match:
            return None
        first, mark, second, year = int(match[1]), match[2], int(match[3]), _full_year(match[4])
        if first > 12 or second > 12 or first == second:
            day_first = first > 12
        elif mark in self.orders:
            day_first = self.orders[mark] == DAY_FIRST
        else:
            day, other = date(year, second, first), date(year, first, second)
            self.undecided.setdefault(mark, []).append(text)
            raise Unclear(
                f"“{text}” is {day:%-d %B} or {other:%-d %B}; say which order is yours.", mark
            )
        return date(year, second, first) if day_first else date(year, first, second)

    def _month_or_year(self, text):
        if _YEAR.fullmatch(text):
            return date(int(text), *self.seasons.start)
        match = _MONTH_AND_YEAR.fullmatch(text)
        return match and date(int(match[2] or match[3]), int(match[1] or match[4]), 1)

    def _named(self, text):
        match = _NAMED.fullmatch(text)
        if not match or match[2][:3] not in _MONTHS:
            return None
        month = _MONTHS.index(match[2][:3]) + 1
        return date(_full_year(match[4].lstrip("'")), month, int(match[1] or match[3] or 1))

    def _season(self, text):
        match = _SEASON.fullmatch(text)
        if not match:
            return None
        month = _SEASON_MONTHS[match[1] or match[4]]
        if self.seasons.is_south:
            month = (month + 5) % 12 + 1
        return date(_full_year(match[2] or match[3]), month, 1)

    def _by_age(self, text):
        """Return the days an age leads back to, None for what is no age."""
        today = self.seasons.counted_on
        if match := _YEARS_OLD.fullmatch(text.casefold()):
            return Since(self.seasons.back(today, int(match[1])))
        try:
            age = parse_age(text)
        except ValueError:
            return None
        if max(age.parts) >= MOST_SEASONS:
            return None
        if any(part != int(part) for part in age.parts):
            raise Unclear(f"“{text}” has half seasons; the ledger counts whole ones, as 1+1.")
        before, *after = (0, *age.parts) if age.plug else age.parts
        if age.cutting and len(after) > 1:
            before, *after = sum(age.parts[:2]), *after[1:]
        if not sum(after):
            return Since(self.seasons.back(today, int(before)))
        potted = self.seasons.back(today, int(sum(after)))
        return Since(self.seasons.back(potted, int(before)), potted)


def looks_like_since(text: str) -> bool:
    """Tell whether a cell could say since when, whatever the order of its day and month."""
    plain = text.casefold()
    patterns = (_ISO, _THREE, _YEAR, _MONTH_AND_YEAR, _SEASON, _YEARS_OLD)
    if any(pattern.fullmatch(plain) for pattern in patterns):
        return True
    named = _NAMED.fullmatch(plain)
    if named and named[2][:3] in _MONTHS:
        return True
    try:
        return max(parse_age(text).parts) < MOST_SEASONS
    except ValueError:
        return False


def _full_year(text: str) -> int:
    year = int(text)
    return year if year > 99 else year + (2000 if year < 80 else 1900)
