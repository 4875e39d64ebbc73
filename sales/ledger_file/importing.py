"""Import a ledger file: every row, or none."""

from collections.abc import Callable
from contextlib import suppress
from datetime import date
from functools import partial
from pathlib import Path

from django.apps import apps
from django.db import connection

from inventory.errors import LedgerError
from inventory.models import BenchNote, Bill, Nursery, Operation, PaidAhead, Spraying, SupplyEntry
from inventory.operations.leave import draft_return, draft_sale
from inventory.operations.posting import Draft, ledger_held, refuse_closed
from inventory.operations.rebuild import rebuild
from sales.ledger_file.book import ImportBook
from sales.ledger_file.boxes import read_box
from sales.ledger_file.events import GROWING, find_lot
from sales.ledger_file.facts import FactReader
from sales.ledger_file.holds import HOLD_EVENTS, HoldReader
from sales.ledger_file.payments import PaymentReader, sold_on
from sales.ledger_file.prices import read_article, read_price
from sales.ledger_file.raising import RaisingReader
from sales.ledger_file.rows import ALL_COLUMNS, UNTOLD, Row, RowError, RowsInOrder, open_rows
from sales.ledger_file.shared_costs import READERS
from sales.ledger_file.supplies import EVENTS, SupplyReader
from sales.ledger_file.taxes import exemption_in, read_tax
from sales.ledger_file.terms import read_terms
from sales.ledger_file.waiting import OpenDocument, Waiting
from sales.ledger_file.work import WORK_EVENTS, WorkReader
from sales.models import ArticleNumber, BoxEntry, HoldChange, Payment, Price
from sales.operations.open_sales import keep_all_open
from sales.operations.price import whole_in_currency
from sales.operations.take_back import credit_for, takes_of
from sales.queries.certificates import exemption_of

FIELD_COLUMNS = {"alive": "quantity", "found": "quantity", "on": "date", "valid_until": "until"}


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
        with suppress(CheckedOnly), ledger_held():
            if _was_imported(rows):
                return 0
            importer = Importer(rows)
            importer.run(say)
            say("Working out every cost")
            rebuild()
            _count_rows_anew()
            keep_all_open()
            if check:
                raise CheckedOnly
        return len(rows)


def _count_rows_anew() -> None:
    """Tell PostgreSQL how full its tables are: a plan made for empty ones takes minutes.

    It cannot count by itself what is not committed yet.
    """
    if connection.vendor == "postgresql":
        models = [*apps.get_app_config("inventory").get_models()]
        models += apps.get_app_config("sales").get_models()
        with connection.cursor() as cursor:
            cursor.execute(f"ANALYZE {', '.join(model._meta.db_table for model in models)}")


class Importer:
    """Writes rows in chunks; costs are worked out once at the end."""

    def __init__(self, rows: RowsInOrder):
        self.rows = rows
        self.book = ImportBook()
        self.waiting = Waiting(rows.document_numbers())
        self.supplies = SupplyReader(self.book)
        self.work = WorkReader(self.book)
        self.holds = HoldReader(self.book)
        self.facts = FactReader(self.book)
        self.raising = RaisingReader(self.book)
        self.payments = PaymentReader(
            self.book, self.waiting, self.holds, Nursery.current().currency
        )
        self.last: Draft | None = None
        self.day: date | None = None
        self.currency = Nursery.current().currency
        self.selling = {
            "sale": self._sale,
            "return": self._return,
            "price": partial(read_price, book=self.book),
            "article": partial(read_article, book=self.book),
            "payment": self._payment,
            "cash": partial(read_box, currency=self.currency),
            "terms": self._terms,
            "nursery": self.facts.nursery,
            "plant": self.facts.plant,
            "buyer": self._buyer,
            "certificate": self.facts.certificate,
            "contact": self.facts.contact,
            "expected_loss": self.facts.expected_loss,
            "target": self.facts.target,
            "tax": self._tax,
            **dict.fromkeys(("supply", *EVENTS), self._supply),
            **dict.fromkeys(WORK_EVENTS, self._work),
            **dict.fromkeys(READERS, self._shared_cost),
            **dict.fromkeys(HOLD_EVENTS, self.holds.read),
            **self.raising.events,
        }

    def run(self, say: Callable[[str], None]) -> None:
        """Write every row of the file."""
        count_at = 1_000
        for number, row in enumerate(self.rows, start=1):
            try:
                self._write(row)
            except LedgerError as error:
                raise self._worded(row, error) from error
            if number % 10_000 == 0:
                say(f"{number:,} of {len(self.rows):,} rows")
            if number == count_at:
                _count_rows_anew()
                count_at *= 2
        self.facts.write_letterhead()
        self.waiting.write()
        self.supplies.write()
        self.holds.write()
        self.payments.refuse_overdrawn()

    def _write(self, row: Row) -> None:
        if row.date != self.day:
            self.waiting.day_ended()
            refuse_closed(row.date)
            self.day = row.date
        event = row.needed("event", "what happened, as stick or sale")
        if event != "nursery" and self.facts.letterhead:
            self.waiting.write()
            self.facts.write_letterhead()
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
        self.waiting.add(draft)
        self.last = draft

    def _sale(self, row: Row) -> None:
        lot = find_lot(row, self.book)
        buyer = self.book.buyer(row.text("buyer"))
        price = whole_in_currency(row.money("price"), self.currency)
        document = self._open_document(row, buyer)
        draft = draft_sale([(lot, row.quantity())], row.date, row.text("note"))
        self._keep(draft, row)
        self.holds.sold(row, draft.movements[0])
        reason = row.text("cause") or UNTOLD
        document.takes.append((draft.movements[0], lot, price, reason, None))

    def _open_document(self, row, buyer):
        key = row.text("document") or row.line
        document = self.waiting.documents.get(key)
        if document is None:
            document = OpenDocument(row, buyer, exemption_of(buyer, row.date))
            self.waiting.documents[key] = document
        if document.on != row.date:
            raise document.refused(row)
        if document.buyer != buyer:
            raise row.error(
                "buyer",
                f"document {document.number} is for {document.buyer or 'a walk-in'}; a document "
                "has one buyer.",
            )
        document.exemption = exemption_in(row, document.exemption)
        return document

    def _return(self, row: Row) -> None:
        self.waiting.write()
        document = sold_on(row)
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
        self.waiting.write_drafts()
        self.last = None
        credit_for(document, draft, [take for take, _ in chosen])

    def _payment(self, row: Row) -> None:
        self.payments.read(row)

    def _terms(self, row: Row) -> None:
        self._issue_those_before()
        read_terms(row, self.book)

    def _buyer(self, row: Row) -> None:
        self._issue_those_before()
        self.facts.buyer(row)

    def _issue_those_before(self) -> None:
        """Let documents before a row keep the terms and facts they were issued under."""
        self.waiting.write()
        self.last = None

    def _tax(self, row: Row) -> None:
        read_tax(row, self.book)

    def _supply(self, row: Row) -> None:
        self.supplies.read(row, self._entry_before(row))

    def _work(self, row: Row) -> None:
        self.work.read(row, self._entry_before(row))

    def _entry_before(self, row: Row) -> Draft | None:
        """Return the operation of that day that stands before a row, while it waits."""
        return self.last if self.last and self.last.date == row.date else None

    def _shared_cost(self, row: Row) -> None:
        READERS[row.text("event")](row, self.book.place_named(row.text("place")))

    def _worded(self, row: Row, error: LedgerError) -> RowError:
        column = FIELD_COLUMNS.get(error.field, error.field)
        return row.error(column if column in ALL_COLUMNS else "", str(error))


def _was_imported(rows: RowsInOrder) -> bool:
    # These bear no request; the same one again changes nothing.
    named = ("nursery", "plant", "buyer", "contact", "certificate", "expected_loss", "target")
    named += ("tax", "supply", "person", "terms", "ready", "grade")
    named += ("frost", "method", "method_step", "batch")
    first = next((row for row in rows if row.text("event") not in named), None)
    return first is not None and any(
        model.objects.filter(request_id=first.request_id).exists()
        for model in (
            Operation,
            Price,
            ArticleNumber,
            Payment,
            SupplyEntry,
            Bill,
            PaidAhead,
            HoldChange,
            BoxEntry,
            BenchNote,
            Spraying,
        )
    )
