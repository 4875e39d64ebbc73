"""Article numbers in force."""

from datetime import date

from sales.models import ArticleNumber


def article_numbers(on: date | None = None) -> dict[tuple[int, int], str]:
    """Return {(plant, container): GTIN} as it stood that day, or last."""
    rows = ArticleNumber.objects.order_by("valid_from", "pk")
    if on:
        rows = rows.filter(valid_from__lte=on)
    # Later rows overwrite earlier ones.
    last = {(row.plant_id, row.container_id): row.gtin for row in rows}
    return {key: gtin for key, gtin in last.items() if gtin}
