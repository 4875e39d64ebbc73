"""Article numbers in force."""

from collections.abc import Collection
from datetime import date

from sales.models import ArticleNumber
from sales.queries.begun import begun


def article_numbers(
    on: date | None = None, plants: Collection[int] | None = None
) -> dict[tuple[int, int], str]:
    """Return {(plant, container): GTIN} as it stood that day, or last, of some plants or all."""
    rows = begun(ArticleNumber, on, plants)
    last = {(row.plant_id, row.container_id): row.gtin for row in rows}
    return {key: gtin for key, gtin in last.items() if gtin}
