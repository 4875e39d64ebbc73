"""Money of cash boxes beside sales in the ledger file: over and short, not paid, given out.

A day at a stand itself is not in the file: its sales and payments are, as all others. What
went from one box to another is cash still, and is not written.
"""

from collections.abc import Iterator
from decimal import Decimal

from nursery.money import round_to_currency
from sales.ledger_file.rows import Row
from sales.models import BoxEntry
from sales.queries.stand_day import box_in_force

Kind = BoxEntry.Kind
WRITTEN = tuple(kind for kind in Kind.values if kind != Kind.SAFE)


def box_rows() -> Iterator[dict]:
    """Yield the rows of what joined boxes beside sales, or left them."""
    rows = box_in_force().filter(kind__in=WRITTEN).order_by("date", "pk")
    for row in rows.iterator():
        yield {
            "date": row.date,
            "event": "cash",
            "amount": row.amount,
            "treatment": row.kind,
            "note": row.note,
        }


def read_box(row: Row, currency: str) -> None:
    """Write what a row says joined a box, or left it."""
    kind, amount = row.choice("treatment", WRITTEN), row.money("amount")
    if not amount or amount != round_to_currency(amount, currency):
        raise row.error("amount", f"{amount} is no amount of cash; write whole cents, not 0.")
    if kind == Kind.NOT_PAID and amount > Decimal(0):
        raise row.error("amount", f"what is missing is below nothing; write -{amount}.")
    if kind == Kind.PAID_OUT and not row.text("note"):
        raise row.error("note", "empty; write what was paid for.")
    BoxEntry(
        date=row.date,
        kind=kind,
        amount=amount,
        note=row.text("note"),
        request_id=row.request_id,
    ).save(force_insert=True)
