"""Speak of targets: seasons and days in words."""

from datetime import date

from nursery.context import current_nursery

YEARS_OFFERED = 5


def spring_of(year: int) -> date:
    """Return the first day of the growing season of a year."""
    return date(year, current_nursery().season_start_month, 1)


def coming_springs(today: date) -> list[tuple[date, str]]:
    """Return the first days of the seasons to come, each with its name."""
    first = today.year + (spring_of(today.year) <= today)
    return [(spring_of(year), f"spring {year}") for year in range(first, first + YEARS_OFFERED)]


def day_words(day: date) -> str:
    """Say a day: "8 June 2027"."""
    return f"{day.day} {day:%B %Y}"


def by_words(day: date) -> str:
    """Say by when: "spring 2028" on the first day of its growing season, else the day."""
    return f"spring {day.year}" if day == spring_of(day.year) else day_words(day)


def week_words(monday: date) -> str:
    """Say a week by its Monday: "in the week of 8 June 2027"."""
    return f"in the week of {day_words(monday)}"


def month_words(first: date) -> str:
    """Say a month by its first day: "June 2027", and "now" for the month of today."""
    return "now" if first == date.today().replace(day=1) else f"{first:%B %Y}"
