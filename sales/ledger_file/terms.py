"""Terms of payment in the ledger file: a row `terms` before the sales they are new for.

`quantity` is the days until an invoice of `buyer` is due, `price` the percent of the discount
for paying early and `amount` the days for it. Without such a row an invoice is due in thirty.
"""

from sales.ledger_file.book import ImportBook
from sales.ledger_file.rows import Row
from sales.models import Buyer, Document

LONGEST_DAYS = 3650
UNLESS_SAID = (30, 0, 0)


def read_terms(row: Row, book: ImportBook) -> None:
    """Give a buyer the terms for the sales that follow."""
    row.needed("buyer", "the name of a buyer")
    buyer = book.buyer(row.text("buyer"))
    buyer.terms_days = _days(row, "quantity")
    buyer.discount_percent = row.number("price", least=0) if row.text("price") else 0
    buyer.discount_days = _days(row, "amount") if row.text("amount") else 0
    if buyer.discount_percent >= 100:
        raise row.error("price", "a discount is less than 100 percent.")
    buyer.save(update_fields=["terms_days", "discount_percent", "discount_days"])


def _days(row, column):
    days = row.number(column, least=0)
    if days != int(days) or days > LONGEST_DAYS:
        raise row.error(column, f"write whole days, {LONGEST_DAYS} or fewer.")
    return int(days)


class TermsWriter:
    """Knows the terms each buyer had last, and says where a document has others."""

    def __init__(self):
        self.last: dict[Buyer, tuple] = {}

    def row_before(self, document: Document) -> dict | None:
        """Return the row that must stand before a document, or None."""
        if document.buyer is None or document.due_on is None:
            return None
        until = document.discount_until
        terms = (
            (document.due_on - document.date).days,
            document.discount_percent or 0,
            (until - document.date).days if until else 0,
        )
        if terms == self.last.get(document.buyer, UNLESS_SAID):
            return None
        self.last[document.buyer] = terms
        days, percent, discount_days = terms
        row = {"event": "terms", "buyer": document.buyer.name, "quantity": days}
        if percent:
            row |= {"price": percent, "amount": discount_days}
        return row
