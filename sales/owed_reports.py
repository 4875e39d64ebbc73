"""The report of what is owed."""

from datetime import date

from django.db.models.functions import Coalesce

from sales.ages import days_over
from sales.queries.owed_by_age import owed_on


def owed_report(*, on: date | None = None, **_) -> list[dict]:
    """Every document on which something is owed, the longest due first."""
    day = on or date.today()
    rows = owed_on(day).values_list(
        Coalesce("buyer__same_as__name", "buyer__name"),
        "number",
        "date",
        "falls_due",
        "full",
        "credited",
        "paid",
        "owed",
        "age",
    )
    return [
        {
            "buyer": buyer or "",
            "document": number,
            "date": dated,
            "due_on": due_on,
            "total": full,
            "credited": credited,
            "paid": paid,
            "owed": owed,
            "days_over": days_over(due_on, day),
            "age": age,
        }
        for buyer, number, dated, due_on, full, credited, paid, owed, age in rows.iterator()
    ]
