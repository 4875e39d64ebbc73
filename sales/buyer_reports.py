"""The report of who buys."""

from datetime import date
from decimal import Decimal

from sales.models import Buyer
from sales.queries.margin import margin_by
from sales.queries.owed_by_age import owed_by_buyer


def buyers_report(*, since: date | None = None, on: date | None = None, **_) -> list[dict]:
    """Every buyer: plants bought and what they brought before tax, net of returns; owed."""
    sales = {row.key: row for row in margin_by("buyer", since=since, on=on)}
    rows = owed_by_buyer(on or date.today())
    owed = {row.buyer.pk: row.owed for row in rows if row.buyer}
    return [
        {
            "name": buyer.name,
            "kind": buyer.kind,
            "sold": int(sales[buyer.name].sold) if buyer.name in sales else 0,
            "revenue": sales[buyer.name].revenue if buyer.name in sales else Decimal(0),
            "owed": owed.get(buyer.pk, Decimal(0)),
        }
        for buyer in Buyer.objects.kept().order_by("name")
    ]
