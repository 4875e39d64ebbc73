"""The reports for whoever keeps the books: the year sheet, the journal, the stock's value."""

from datetime import date
from decimal import Decimal

from inventory.costing.categories import CATEGORIES
from sales.journal import journal_rows
from sales.queries.accounts import accounts
from sales.queries.journal import journal
from sales.queries.valuation import Terms, items_in_stock
from sales.queries.year import whole_span, year_rows

YEAR_PLANTS = ("opening_plants", "begun", "potted_in", "potted_out", "sold", "lost")
YEAR_COSTS = (
    "opening_cost",
    "cost_added",
    "cost_of_sales",
    "expensed",
    "moved_cost",
    "closing_cost",
)


def year_report(
    *, since: date | None = None, on: date | None = None, counted: tuple[str, ...] = CATEGORIES, **_
) -> list[dict]:
    """What came, went and is left; the calendar year of the last day unless told otherwise.

    Begun counts bought and found plants too, used those given away. A row of no plant
    has the cost that no lot bears.
    """
    return [
        {
            "plant": row.plant.name if row.plant else "",
            "container": row.container.code if row.container else "",
        }
        | {name: getattr(row, name) for name in YEAR_PLANTS}
        | {"used": row.used_or_given, "closing_plants": row.closing_plants}
        | {name: getattr(row, name) for name in YEAR_COSTS}
        for row in year_rows(*whole_span(since, on), counted)
    ]


def journal_report(*, since: date | None = None, on: date | None = None, **_) -> list[dict]:
    """Balanced lines by date, exact to the millionth."""
    return [
        {
            "date": row.date,
            "entry": row.entry,
            "account": f"{row.code} {row.account}",
            "debit": row.debit,
            "credit": row.credit,
            "text": row.text,
            "document": row.document,
        }
        for row in journal_rows(journal(since=since, on=on), accounts())
    ]


def item_report(
    method: str, on: date | None, selling: Decimal, counted: tuple[str, ...] = CATEGORIES
) -> list[dict]:
    """The stock valued item by item, at the lower of cost and realisable value, or farm price."""
    return [
        {
            "plant": item.plant.name,
            "container": item.container.code,
            "on_hand": item.on_hand,
            "cost": item.cost,
            "price": item.price,
            "value": item.value(method),
        }
        for item in items_in_stock(on, Terms(selling), counted)
    ]
