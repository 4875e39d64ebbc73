"""The report of what was taxed."""

from datetime import date

from sales.queries.tax_return import tax_return
from sales.queries.year import whole_span


def tax_report(*, since: date | None = None, on: date | None = None, **_) -> list[dict]:
    """Sales less credit notes by jurisdiction, category and percent, with the tax on them."""
    names = ("jurisdiction", "name", "category", "percent", "base", "tax")
    rows = tax_return(*whole_span(since, on))
    return [{name: getattr(row, name) for name in names} for row in rows]
