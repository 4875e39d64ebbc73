"""What an import has read and not written yet: many rows go in at once."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from inventory.models import Lot, Movement, Operation
from inventory.operations.posting import Draft, write_lines
from sales.models import Buyer, Document, Payment
from sales.operations.documents import SaleDraft, issue_sales, lot_lines
from sales.operations.numbering import Numbers
from sales.operations.open_sales import keep_open

CHUNK = 1_000


@dataclass
class OpenDocument:
    """A sale whose rows are still coming in, and the document it becomes."""

    on: date
    buyer: Buyer | None
    number: str
    note: str
    exemption: str = ""
    takes: list[tuple[Movement, Lot, Decimal, str, None]] = field(default_factory=list)
    issued: Document | None = None

    def draft(self) -> SaleDraft:
        """Return what `issue_sales` asks for."""
        lines = lot_lines(self.takes)
        return SaleDraft(lines, self.on, self.buyer, self.number, self.note, self.exemption)


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
        issued = issue_sales([document.draft() for document in waiting], self.numbers)
        for document, row in zip(waiting, issued, strict=True):
            document.issued = row
        keep_open(row.pk for row in issued)
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
        keep_open(row.document_id for row in payments if row.document_id)
        self.payments.clear()
