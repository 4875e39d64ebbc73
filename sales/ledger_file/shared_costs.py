"""Shared costs in the ledger file, as far as no lot bears them.

What lots bear is written as their costs. `unused` is the space nobody used of a bill:
`amount` was expensed on the last of `quantity` days. `paid_ahead` is what is still to come
of film, rent or insurance: `amount` for `quantity` days from its date on, to be shared by
the `treatment` area, plants or minutes, or by area with its unused space expensed.
"""

from collections.abc import Iterator
from datetime import timedelta

from inventory.costing.categories import CATEGORIES
from inventory.models import Bill, Place
from inventory.operations.paid_ahead import pay_ahead
from inventory.queries.borne_by_none import expensed_bills
from inventory.queries.paid_ahead import ONE_DAY, standings
from sales.ledger_file.rows import Row

EXPENSED = "area, unused expensed"
TREATMENTS = (*Bill.Basis.values, EXPENSED)


def read_unused(row: Row, place: Place | None) -> None:
    """Keep space that nobody used as a bill without parts."""
    amount = row.money("amount")
    if amount <= 0:
        raise row.error("amount", "write more than nothing.")
    bill = Bill(
        amount=amount,
        unused_amount=amount,
        category=row.choice("category", CATEGORIES),
        first_day=row.date - timedelta(days=row.quantity() - 1),
        last_day=row.date,
        place=place,
        unused=Bill.Unused.EXPENSE,
        note=row.text("note"),
        request_id=row.request_id,
    )
    bill.save(force_insert=True)


def read_paid_ahead(row: Row, place: Place | None) -> None:
    """Keep what is still to come of an amount paid ahead."""
    treatment = row.choice("treatment", TREATMENTS, Bill.Basis.AREA)
    is_expensed = treatment == EXPENSED
    pay_ahead(
        category=row.choice("category", CATEGORIES),
        amount=row.money("amount"),
        first_day=row.date,
        last_day=row.date + timedelta(days=row.quantity() - 1),
        place=place,
        basis=Bill.Basis.AREA if is_expensed else treatment,
        unused=Bill.Unused.EXPENSE if is_expensed else Bill.Unused.PLANTS,
        note=row.text("note"),
        request_id=row.request_id,
    )


READERS = {"unused": read_unused, "paid_ahead": read_paid_ahead}


def shared_cost_rows() -> Iterator[dict]:
    """Yield by date what no lot bears of bills, and what is still to come."""
    yield from sorted([*_unused(), *_to_come()], key=lambda row: row["date"])


def _unused():
    for bill in expensed_bills().select_related("place").order_by("last_day", "pk"):
        yield {
            "date": bill.last_day,
            "event": "unused",
            "quantity": bill.days,
            "amount": bill.unused_amount,
            **_what(bill),
        }


def _to_come():
    for standing in standings():
        row, charged_to = standing.row, standing.charged_to
        if not standing.to_come:
            continue
        # All its days may be charged already where the rest fell into a closed period.
        first = min(charged_to + ONE_DAY, row.last_day) if charged_to else row.first_day
        is_expensed = row.unused == Bill.Unused.EXPENSE
        yield {
            "date": first,
            "event": "paid_ahead",
            "quantity": (row.last_day - first).days + 1,
            "amount": standing.to_come,
            "treatment": EXPENSED if is_expensed else row.basis,
            **_what(row),
        }


def _what(row):
    place = row.place.name if row.place else ""
    return {"category": row.category, "place": place, "note": row.note}
