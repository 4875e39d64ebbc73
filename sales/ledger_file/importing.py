"""Import a ledger file: every row, or none."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from pathlib import Path

from django.db import transaction

from inventory.errors import LedgerError
from inventory.models import Lot, Movement, Operation
from inventory.operations.leave import draft_return, draft_sale
from inventory.operations.posting import Draft, ledger_held, write_lines
from inventory.operations.rebuild import rebuild
from sales.ledger_file.book import ImportBook
from sales.ledger_file.events import GROWING, find_lot
from sales.ledger_file.rows import COLUMNS, Row, RowError, RowsInOrder, open_rows
from sales.models import Buyer, Document, Payment, Price, TaxRate
from sales.operations.documents import issue_sales, lot_lines
from sales.operations.numbering import Numbers
from sales.operations.pay import pay
from sales.operations.price import set_price
from sales.operations.sell import whole_in_currency
from sales.operations.take_back import credit_for, takes_of
from sales.operations.tax_rates import set_tax_rate

CHUNK = 1_000
FIELD_COLUMNS = {"alive": "quantity", "found": "quantity", "on": "date"}


@dataclass
class OpenDocument:
    """A sale whose rows are still coming in."""

    on: date
    buyer: Buyer | None
    number: str
    note: str
    takes: list[tuple[Movement, Lot, Decimal, str]] = field(default_factory=list)


class CheckedOnly(Exception):
    """Raised to leave the transaction when a file was only to be checked."""


def import_ledger(
    path: Path, *, check: bool = False, say: Callable[[str], None] = lambda text: None
) -> int:
    """Import a ledger file in one transaction and return the number of rows.

    With `check` nothing is kept. The same file again writes nothing and returns
    0. Raises RowError at the first row that is wrong.
    """
    say(f"Reading {path.name}")
    with open_rows(path) as rows:
        try:
            with ledger_held():
                if _was_imported(rows):
                    return 0
                importer = Importer(rows)
                importer.run(say)
                say("Working out every cost")
                rebuild()
                if check:
                    raise CheckedOnly
        except CheckedOnly:
            transaction.set_rollback(False)
        return len(rows)


class Importer:
    """Writes rows in chunks; costs are worked out once at the end."""

    def __init__(self, rows: RowsInOrder):
        self.rows = rows
        self.book = ImportBook()
        self.drafts: list[Draft] = []
        self.open: dict[str, OpenDocument] = {}
        self.day: date | None = None
        self.numbers = Numbers(taken=rows.document_numbers())
        self.selling = {
            "sale": self._sale,
            "return": self._return,
            "price": self._price,
            "payment": self._payment,
            "tax": self._tax,
        }

    def run(self, say: Callable[[str], None]) -> None:
        """Write every row of the file."""
        for number, row in enumerate(self.rows, start=1):
            try:
                self._write(row)
            except LedgerError as error:
                raise self._worded(row, error) from error
            if len(self.drafts) >= CHUNK:
                self._flush_drafts()
            if number % 10_000 == 0:
                say(f"{number:,} of {len(self.rows):,} rows")
        self._flush()

    def _write(self, row: Row) -> None:
        if row.date != self.day:
            self._flush_documents()
            self.day = row.date
        event = row.needed("event", "what happened, as stick or sale")
        if event in GROWING:
            self._keep(GROWING[event](row, self.book), row)
        elif event in self.selling:
            self.selling[event](row)
        else:
            known = ", ".join([*GROWING, *self.selling])
            raise row.error("event", f"“{event}” is not known; write one of {known}.")

    def _keep(self, draft: Draft, row: Row) -> None:
        draft.operation.request_id = row.request_id
        self.book.record(draft)
        self.drafts.append(draft)

    def _sale(self, row: Row) -> None:
        lot = find_lot(row, self.book)
        buyer = self.book.buyer(row.text("buyer"))
        price = whole_in_currency(row.money("price"))
        number = row.text("document")
        document = self._open_document(row, number, buyer)
        draft = draft_sale([(lot, row.quantity())], row.date, row.text("note"))
        self._keep(draft, row)
        document.takes.append((draft.movements[0], lot, price, "ledger file"))

    def _open_document(self, row, number, buyer):
        key = number or f"line {row.line}"
        if key not in self.open:
            if number and Document.objects.filter(number=number).exists():
                raise row.error(
                    "document",
                    f"{number} was issued already; rows of one document share one date and "
                    "stand together. Write another number.",
                )
            self.open[key] = OpenDocument(row.date, buyer, number, row.text("note"))
        document = self.open[key]
        if document.buyer != buyer:
            raise row.error(
                "buyer",
                f"document {number} is for {document.buyer or 'a walk-in'}; a document has "
                "one buyer.",
            )
        return document

    def _return(self, row: Row) -> None:
        document = self._document(row)
        lot = find_lot(row, self.book)
        treatment = row.choice("treatment", ("restock", "discard"))
        price = row.money("price") if row.text("price") else None
        cause = self.book.causes[row.choice("cause", self.book.causes, "other")]
        chosen = list(takes_of(document, lot, row.quantity(), price))
        draft = draft_return(
            [(take.movement, quantity) for take, quantity in chosen],
            row.date,
            restock=treatment == "restock",
            cause=cause,
            note=row.text("note"),
        )
        self._keep(draft, row)
        self._flush_drafts()
        credit_for(document, draft, [take for take, _ in chosen])

    def _price(self, row: Row) -> None:
        container = self.book.containers[row.choice("container", self.book.containers)]
        set_price(
            plant=self.book.plant(row.needed("plant", "the plant's name")),
            container=container,
            amount=row.money("price"),
            on=row.date,
            request_id=row.request_id,
        )

    def _payment(self, row: Row) -> None:
        pay(
            document=self._document(row),
            amount=row.money("amount"),
            method=row.choice("treatment", Payment.Method.values),
            on=row.date,
            request_id=row.request_id,
            may_exceed=True,
        )

    def _tax(self, row: Row) -> None:
        set_tax_rate(
            percent=row.money("amount"),
            on=row.date,
            basis=row.choice("treatment", TaxRate.Basis.values, TaxRate.Basis.INVOICE),
            name=row.text("note") or "Sales tax",
        )

    def _document(self, row: Row) -> Document:
        number = row.needed("document", "the number of the sale's document")
        self._flush()
        document = Document.objects.filter(number=number, kind=Document.Kind.SALE).first()
        if document is None:
            raise row.error(
                "document", f"nothing was sold on {number} before this row; mend the number."
            )
        return document

    def _flush(self) -> None:
        self._flush_drafts()
        self._flush_documents()

    def _flush_drafts(self) -> None:
        Operation.objects.bulk_create([draft.operation for draft in self.drafts])
        write_lines(self.drafts)
        self.drafts.clear()

    def _flush_documents(self) -> None:
        if not self.open:
            return
        self._flush_drafts()
        issue_sales(
            [
                (
                    lot_lines(document.takes),
                    document.on,
                    document.buyer,
                    document.number,
                    document.note,
                )
                for document in self.open.values()
            ],
            self.numbers,
        )
        self.open.clear()

    def _worded(self, row: Row, error: LedgerError) -> RowError:
        column = FIELD_COLUMNS.get(error.field, error.field)
        return row.error(column if column in COLUMNS else "", str(error))


def _was_imported(rows: RowsInOrder) -> bool:
    # A tax bears no request; the same one again changes nothing.
    first = next((row for row in rows if row.text("event") != "tax"), None)
    return first is not None and any(
        model.objects.filter(request_id=first.request_id).exists()
        for model in (Operation, Price, Payment)
    )
