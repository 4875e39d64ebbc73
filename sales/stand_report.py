"""The report of stand days."""

from datetime import date

from sales.queries.stand_page import stand_days


def stand_report(*, on: date | None = None, **_) -> list[dict]:
    """Stand days, the newest first. Of an open one nothing is counted yet."""
    return [
        {
            "day": row.day.place.name,
            "opened": row.day.date,
            "closed": row.closed_on or "",
            "sold": row.sold,
            "revenue": row.revenue,
            "cash_expected": row.expected,
            "cash_counted": "" if row.counted is None else row.counted,
            "over_short": row.over_short,
            "card": row.card_sales,
            "plants_out": row.out,
            "plants_back": row.back,
            "plants_missing": row.missing,
        }
        for row in stand_days(on)
    ]
