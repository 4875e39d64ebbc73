"""What an import has read and not written yet: many rows go in at once.

Which sales are open is worked out once, when all rows are in.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from inventory.models import Lot, Movement, Operation
from inventory.operations.posting import Draft, write_lines
from sales.ledger_file.rows import Row, RowError
from sales.models import Buyer, Document, Payment
from sales.operations.documents import SaleDraft, issue_sales, lot_lines
from sales.operations.numbering import Numbers

CHUNK = 1_000


@dataclass
class OpenDocument:
    """A sale whose rows are still coming in, its first one, and the document it becomes."""

    row: Row
    buyer: Buyer | None
    exemption: str = ""
    takes: list[tuple[Movement, Lot, Decimal, str, None]] = field(default_factory=list)
    issued: Document | None = None

    @property
    def on(self) -> date:
        return self.row.date

    @property
    def number(self) -> str:
        return self.row.text("document")

    def refused(self, row: Row) -> RowError:
        """Return the error of a row that bears this number and cannot be of this document."""
        return row.error(
            "document",
            f"{self.number} was issued already; rows of one document share one date and "
            "stand together. Write another number.",
        )

    def draft(self) -> SaleDraft:
        """Return what `issue_sales` asks for."""
        lines = lot_lines(self.takes)
        return SaleDraft(
            lines, self.on, self.buyer, self.number, self.row.text("note"), self.exemption
        )


class Waiting:
    """Operations, documents by number (by line where they have none), and payments."""

    def __init__(self, numbers_taken: Iterable[str]):
        self.drafts: list[Draft] = []
        self.documents: dict[str | int, OpenDocument] = {}
        self.payments: list[tuple[Payment, OpenDocument | None]] = []
        self.numbers = Numbers(taken=numbers_taken)

    def add(self, draft: Draft) -> None:
        """Let an operation wait, and write those before it where there are many.

        The newest always waits, for rows may follow that belong to it.
        """
        if len(self.drafts) >= CHUNK:
            self.write_drafts()
        self.drafts.append(draft)

    def day_ended(self) -> None:
        """Write everything where there is much of it."""
        if max(len(self.documents), len(self.payments)) >= CHUNK:
            self.write()

    def write(self) -> None:
        """Write all that waits."""
        self.write_drafts()
        self._write_documents()
        self._write_payments()

    def write_drafts(self) -> None:
        """Write the operations that wait."""
        Operation.objects.bulk_create([draft.operation for draft in self.drafts])
        write_lines(self.drafts)
        self.drafts.clear()

    def _write_documents(self) -> None:
        waiting = list(self.documents.values())
        given = [document.number for document in waiting if document.number]
        taken = set(Document.objects.filter(number__in=given).values_list("number", flat=True))
        for document in waiting:
            if document.number in taken:
                raise document.refused(document.row)
        issued = issue_sales([document.draft() for document in waiting], self.numbers)
        for document, row in zip(waiting, issued, strict=True):
            document.issued = row
        self.documents.clear()

    def _write_payments(self) -> None:
        for payment, document in self.payments:
            if document:
                payment.document = document.issued
        payments = [payment for payment, _ in self.payments]
        # What is entered together names its first row, which is written before it.
        Payment.objects.bulk_create(row for row in payments if row.part_of is None)
        parts = [row for row in payments if row.part_of]
        for row in parts:
            row.part_of = row.part_of
        Payment.objects.bulk_create(parts)
        self.payments.clear()
