"""Article numbers in force."""

from collections.abc import Iterable
from datetime import date

from sales.models import ArticleNumber


def article_numbers(
    on: date | None = None, plants: Iterable[int] | None = None
) -> dict[tuple[int, int], str]:
    """Return {(plant, container): GTIN} as it stood that day, or last, of some plants or all."""
    rows = ArticleNumber.objects.order_by("valid_from", "pk")
    if on:
        rows = rows.filter(valid_from__lte=on)
    if plants is not None:
        rows = rows.filter(plant__in=set(plants))
    # Later rows overwrite earlier ones.
    numbers = rows.values_list("plant", "container", "gtin")
    last = {(plant, container): gtin for plant, container, gtin in numbers}
    return {key: gtin for key, gtin in last.items() if gtin}
