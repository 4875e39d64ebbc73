"""Payments in the ledger file: on a `document`, or on the account of a `buyer`.

`treatment` is how it was paid. Money used from an account is one row, on the document
with the treatment "account", and what was kept there is such a row with a minus.
"""

from uuid import uuid5

from sales.ledger_file.book import ImportBook
from sales.ledger_file.holds import HoldReader
from sales.ledger_file.rows import Row
from sales.ledger_file.waiting import OpenDocument, Waiting
from sales.models import Document, Payment
from sales.operations.pay import refuse_wrong_amount, refuse_wrong_payment
from sales.queries.proof import overdrawn_accounts

Method = Payment.Method
ON_ACCOUNT = (*Payment.MONEY, Method.ROUNDING)


class PaymentReader:
    """Turns rows into payments that wait until their documents are written."""

    def __init__(self, book: ImportBook, waiting: Waiting, holds: HoldReader, currency: str):
        self.book, self.waiting, self.holds, self.currency = book, waiting, holds, currency
        self.last_on: dict[str, Row] = {}

    def read(self, row: Row) -> None:
        """Read a row on a document, or on an account where it names only a buyer."""
        if row.text("document") or not row.text("buyer"):
            self._on_document(row)
        else:
            self._on_account(row)

    def refuse_overdrawn(self) -> None:
        """Raise RowError where the file took more off an account than it held."""
        rows = {self.book.buyer(name).kept.name: row for name, row in self.last_on.items()}
        for buyer, day, held in overdrawn_accounts():
            if buyer in rows:
                raise rows[buyer].error(
                    "amount",
                    f"the account of {buyer} would hold {held.normalize():f} on "
                    f"{day.isoformat()}; take off what lies there, or less.",
                )

    def _on_document(self, row):
        document = self.waiting.documents.get(row.text("document")) or sold_on(row)
        is_open = isinstance(document, OpenDocument)
        amount, dated = row.money("amount"), document.on if is_open else document.date
        refuse_wrong_payment(document.number, dated, amount, row.date, self.currency)
        payment = self._payment(row, row.choice("treatment", Method.values), amount)
        if payment.method == Method.ALLOWANCE and not payment.note:
            raise row.error("note", "say why it was let go.")
        payment.document = None if is_open else document
        if payment.method == Method.ACCOUNT:
            self._other_side(row, document, payment)
        self.waiting.payments.append((payment, document if is_open else None))

    def _other_side(self, row, document, payment):
        if document.buyer is None:
            raise row.error("treatment", f"{document.number} names no buyer with an account.")
        head = self._payment(row, Method.ACCOUNT, -payment.amount)
        head.buyer = document.buyer
        self.last_on[head.buyer.name] = row
        payment.part_of, payment.request_id = head, uuid5(row.request_id, "part 1")
        self.waiting.payments.append((head, None))

    def _on_account(self, row):
        amount = row.money("amount")
        refuse_wrong_amount(amount, self.currency)
        payment = self._payment(row, row.choice("treatment", ON_ACCOUNT), amount)
        payment.buyer = self.book.buyer(row.text("buyer"))
        self.last_on[payment.buyer.name] = row
        self.holds.paid(row, payment)
        self.waiting.payments.append((payment, None))

    def _payment(self, row, method, amount) -> Payment:
        return Payment(
            method=method,
            amount=amount,
            date=row.date,
            note=row.text("note"),
            request_id=row.request_id,
        )


def sold_on(row: Row) -> Document:
    """Return the sale's document that a row names, once it is written."""
    number = row.needed("document", "the number of the sale's document")
    document = Document.objects.filter(number=number, kind=Document.Kind.SALE).first()
    if document is None:
        raise row.error(
            "document", f"nothing was sold on {number} before this row; mend the number."
        )
    return document
