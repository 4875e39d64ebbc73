"""A day of the year, such as 15 October, kept as two fields: NAME_month and NAME_day."""

from django.db.models import Q


def no_day_or_one(name: str) -> Q:
    """Return the condition that the day is not given, or wholly."""
    return Q(**{f"{name}_month__isnull": True, f"{name}_day__isnull": True}) | a_day(name)


def a_day(name: str) -> Q:
    """Return the condition that the day is given; empty is not let pass as unknown."""
    given = {f"{name}_month__isnull": False, f"{name}_day__isnull": False}
    return Q(**given) & Q(**{f"{name}_month__range": (1, 12), f"{name}_day__range": (1, 31)})
