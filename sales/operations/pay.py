"""Take money for documents, give it back, and take either off again."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID, uuid5

from inventory.models import Nursery
from inventory.operations.posting import ledger_held, refuse_closed
from nursery.money import round_to_currency
from sales.errors import SaleRefused
from sales.models import Buyer, Document, Payment
from sales.operations.at_stand import refuse_counted
from sales.operations.open_sales import keep_open
from sales.queries.on_account import free_on_account
from sales.queries.paying import Paying, Way

Method = Payment.Method


@dataclass(frozen=True)
class Part:
    """One row about to be written: on a document, else on a buyer's account."""

    method: str
    amount: Decimal
    document: Document | None = None
    buyer: Buyer | None = None
    note: str = ""


def pay(
    *,
    document: Document,
    amount: Decimal,
    method: str,
    on: date,
    request_id: UUID,
    rest: str = "",
    let_go: str = "",
    discount: bool = False,
    by=None,
) -> Payment:
    """Record money received for a document, or paid back where negative.

    What is more than is owed goes where `rest` says: "account", or "change" given back.
    `let_go` is the reason for which what stays owed is let go. With `discount` the
    document's discount for paying early is kept back. In cash, the total that cash can
    pay settles the whole. Raises SaleRefused where the amount is nothing, not whole in
    the currency, more than is owed with no word for the rest, or more than may go back.
    """
    way = Way(method, on, rest, let_go, discount)
    with ledger_held():
        return _paid([document], document.buyer, amount, way, request_id)


def pay_several(
    *,
    buyer: Buyer,
    documents: Iterable[Document],
    amount: Decimal,
    method: str,
    on: date,
    request_id: UUID,
    rest: str = "",
    let_go: str = "",
    discount: bool = False,
    by=None,
) -> Payment:
    """Record one amount for several documents of a buyer, the first given first.

    As `pay` otherwise; all of it is undone together. Returns its first row.
    """
    documents = list(documents)
    if not documents:
        raise SaleRefused("Choose what is paid.")
    if not {document.buyer_id for document in documents} <= {one.pk for one in buyer.entries}:
        raise SaleRefused(f"Choose invoices of {buyer} only.")
    way = Way(method, on, rest, let_go, discount)
    with ledger_held():
        return _paid(documents, buyer, amount, way, request_id)


def _paid(documents, buyer, amount, way, request_id):
    done = Payment.objects.filter(request_id=request_id).first()
    if done:
        return done
    refuse_closed(way.on)
    currency = Nursery.current().currency
    if amount or not way.let_go:
        refuse_wrong_amount(amount, currency)
    for document in documents:
        refuse_early(document.number, document.date, way.on)
    plan = Paying(documents, buyer, amount, way)
    plan.refuse()
    parts = [Part(row.method, row.amount, row.document, note=row.note) for row in plan.rows]
    if plan.on_account:
        parts.append(Part(way.method, plan.on_account, buyer=buyer))
    return write_payments(parts, way.on, request_id)


def refuse_wrong_payment(
    number: str, dated: date, amount: Decimal, on: date, currency: str
) -> None:
    """Raise SaleRefused where no such amount is ever paid, or not yet on that day."""
    refuse_wrong_amount(amount, currency)
    refuse_early(number, dated, on)


def refuse_early(number: str, dated: date, on: date) -> None:
    """Raise SaleRefused for a day before the document's."""
    if on < dated:
        raise SaleRefused(
            f"{number} is dated {dated.isoformat()}; it cannot be paid before.", field="date"
        )


def refuse_wrong_amount(amount: Decimal, currency: str) -> None:
    """Raise SaleRefused for nothing, and for what is not whole in the currency."""
    if amount == 0 or amount != round_to_currency(amount, currency):
        raise SaleRefused(
            f"{amount} is not an amount that can be paid in {currency}.", field="amount"
        )


def undo_payment(*, payment: Payment, request_id: UUID, by=None) -> Payment:
    """Take back a payment, with all that was entered together with it.

    Each row gets an entry that names it, on its own day. Raises SaleRefused where it was
    undone before, lay in the box of a stand when it was counted, or where money it
    brought onto an account is used already.
    """
    with ledger_held():
        done = Payment.objects.filter(request_id=request_id).first()
        if done:
            return done
        head = payment.head
        refuse_counted(head.document)
        rows = [row for row in (head, *head.parts.order_by("pk")) if _counts(row)]
        if not rows or payment.reverses_id:
            raise SaleRefused("This payment was undone already.")
        refuse_closed(head.date)
        refuse_used(rows)
        return reverse_rows(rows, request_id)


def _counts(row):
    return not row.reverses_id and not Payment.objects.filter(reverses=row).exists()


def refuse_used(rows: list[Payment]) -> None:
    """Raise SaleRefused where money these rows brought onto an account is used already."""
    taken = sum((row.amount for row in rows if row.buyer_id), Decimal(0))
    buyer = next((row.buyer for row in rows if row.buyer_id), None)
    if buyer and taken > 0 and taken > free_on_account(buyer, rows[0].date):
        raise SaleRefused(
            f"Part of it was used from the account of {buyer} since. Undo that use first."
        )


def reverse_rows(rows: Iterable[Payment], request_id: UUID) -> Payment:
    """Write what takes these rows back, and return the first. Call with the ledger held."""
    written: list[Payment] = []
    for row in rows:
        head = written[0] if written else None
        back = Payment(
            document_id=row.document_id,
            buyer_id=row.buyer_id,
            date=row.date,
            method=row.method,
            amount=-row.amount,
            note=row.note,
            request_id=uuid5(request_id, str(row.pk)) if head else request_id,
            part_of=head,
            reverses=row,
        )
        back.save(force_insert=True)
        written.append(back)
    return _kept(written)


def write_payments(parts: Iterable[Part], on: date, request_id: UUID) -> Payment:
    """Write rows entered together and return the first. Call it with the ledger held."""
    written: list[Payment] = []
    for number, part in enumerate(parts):
        head = written[0] if written else None
        row = Payment(
            document=part.document,
            buyer=part.buyer,
            date=on,
            method=part.method,
            amount=part.amount,
            note=part.note,
            request_id=uuid5(request_id, f"part {number}") if head else request_id,
            part_of=head,
        )
        row.save(force_insert=True)
        written.append(row)
    return _kept(written)


def _kept(written):
    """Keep what is open on their documents, and return the first of them."""
    keep_open(row.document_id for row in written if row.document_id)
    return written[0] if written else None
