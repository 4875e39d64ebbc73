"""Article numbers in force."""

from collections.abc import Collection
from datetime import date

from django.db import connection

from sales.models import ArticleNumber
from sales.queries.begun import begun


def article_numbers(
    on: date | None = None, plants: Collection[int] | None = None
) -> dict[tuple[int, int], str]:
    """Return {(plant, container): GTIN} as it stood that day, or last, of some plants or all."""
    with connection.cursor() as cursor:
        cursor.execute(*begun(ArticleNumber, "plant_id, container_id, gtin", on, plants))
        last = {(plant, container): gtin for plant, container, gtin in cursor.fetchall()}
    return {key: gtin for key, gtin in last.items() if gtin}
