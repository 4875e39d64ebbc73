"""Take money onto a buyer's account, use it for documents, give it back; let go what is owed."""

from datetime import date
from decimal import Decimal
from uuid import UUID, uuid5

from inventory.models import Nursery
from inventory.operations.posting import ledger_held, refuse_closed
from nursery.cash import in_cash
from nursery.context import current_nursery
from nursery.money import format_money
from sales.errors import SaleRefused
from sales.models import Buyer, Document, Payment
from sales.operations.open_sales import keep_open
from sales.operations.pay import Part, refuse_wrong_amount, refuse_wrong_payment, write_payments
from sales.queries.deposits import free_beside_deposits
from sales.queries.on_account import free_on_account
from sales.queries.owed import owed

Method = Payment.Method


def take_on_account(
    *,
    buyer: Buyer,
    amount: Decimal,
    method: str,
    on: date,
    request_id: UUID,
    note: str = "",
    by=None,
) -> Payment:
    """Take money that belongs to no document yet: a deposit. It is owed to the buyer till used.

    Raises SaleRefused where the amount is not above nothing and whole in the currency.
    """
    with ledger_held():
        return _done(request_id) or _taken(buyer, amount, method, on, note, request_id)


def _taken(buyer, amount, method, on, note, request_id):
    nursery = _refuse(amount, on)
    step = nursery.smallest_cash if method == Method.CASH else Decimal(0)
    if amount != in_cash(amount, step):
        raise SaleRefused(
            f"{format_money(amount, nursery.currency)} cannot be paid in cash: "
            f"{format_money(in_cash(amount, step), nursery.currency)} would be right.",
            field="amount",
        )
    return write_payments([Part(method, amount, buyer=buyer.kept, note=note)], on, request_id)


def use_account(
    *, document: Document, amount: Decimal, on: date, request_id: UUID, by=None
) -> Payment:
    """Settle part of a document with money on its buyer's account.

    Writes a pair: minus on the account, plus on the document, and returns the first.
    Raises SaleRefused for more than is owed, or than lies on the account on that day and
    after it.
    """
    with ledger_held():
        done = _done(request_id)
        if done:
            return done
        nursery = _refuse(amount, on, document)
        _refuse_more(amount, max(owed(document), Decimal(0)), f"is owed on {document}", nursery)
        _refuse_more(amount, _free(document.buyer, on), "is free on the account", nursery)
        return write_payments(moved(document, amount), on, request_id)


def keep_on_account(
    *, document: Document, amount: Decimal, on: date, request_id: UUID, by=None
) -> Payment:
    """Move money that is to be paid back for a document onto its buyer's account.

    Raises SaleRefused for more than is to be paid back.
    """
    with ledger_held():
        done = _done(request_id)
        if done:
            return done
        nursery = _refuse(amount, on, document)
        to_pay_back = max(-owed(document), Decimal(0))
        _refuse_more(amount, to_pay_back, f"is to be paid back on {document}", nursery)
        return write_payments(moved(document, -amount), on, request_id)


def let_go(
    *, document: Document, amount: Decimal, note: str, on: date, request_id: UUID, by=None
) -> Payment:
    """Let go part of what is owed on a document, as for plants that were not as they should be.

    `note` says why. No plant moves and no tax is corrected: a return with its credit note
    does that. Raises SaleRefused for more than is owed, and without a reason.
    """
    with ledger_held():
        done = _done(request_id)
        if done:
            return done
        nursery = _refuse(amount, on)
        refuse_wrong_payment(document.number, document.date, amount, on, nursery.currency)
        _refuse_more(amount, max(owed(document), Decimal(0)), f"is owed on {document}", nursery)
        if not note.strip():
            raise SaleRefused("Say why it is let go.", field="note")
        return write_payments([Part(Method.ALLOWANCE, amount, document, note=note)], on, request_id)


def give_back(
    *, buyer: Buyer, amount: Decimal, method: str, on: date, request_id: UUID, by=None
) -> Payment:
    """Give money on a buyer's account back to them.

    In cash, what cash cannot pay is rounded. Raises SaleRefused for more than lies there.
    """
    with ledger_held():
        done = _done(request_id)
        if done:
            return done
        nursery = _refuse(amount, on)
        _refuse_more(amount, _free(buyer, on), "is free on the account", nursery)
        step = nursery.smallest_cash if method == Method.CASH else Decimal(0)
        paid = in_cash(amount, step)
        parts = [
            Part(method, -paid, buyer=buyer.kept),
            Part(Method.ROUNDING, paid - amount, buyer=buyer.kept),
        ]
        return write_payments([part for part in parts if part.amount], on, request_id)


def paid_at_once(
    document: Document, method: str, request_id: UUID, deposit: Decimal
) -> Payment | None:
    """Pay a document that was just issued: first from a deposit, the rest as `method` says.

    By "account" it is paid as far as the buyer's account goes beside the deposits of holds.
    What comes off the account is an entry of its own, so that an undone sale gives it back
    and the money too. Returns what came in as money, if any. Call it with the ledger held.
    Raises SaleRefused for a deposit of more than is free on the account.
    """
    total, on = document.total, document.date
    used = min(deposit, total)
    if used:
        nursery = _refuse(used, on, document)
        _refuse_more(used, _free(document.buyer, on), "is free on the account", nursery)
    if method == Method.ACCOUNT and document.buyer:
        used += min(free_beside_deposits(document.buyer, on), total - used)
    if used:
        write_payments(moved(document, used), on, uuid5(request_id, "account"))
    if method and method != Method.ACCOUNT:
        return write_payments(_money(document, method, total - used), on, request_id)
    keep_open([document.pk])
    return None


def _money(document, method, amount):
    """Return the rows by which an amount is paid, in cash as cash can pay it."""
    step = current_nursery().smallest_cash if method == Method.CASH else Decimal(0)
    paid = in_cash(amount, step)
    parts = [Part(method, paid, document), Part(Method.ROUNDING, amount - paid, document)]
    return [part for part in parts if part.amount]


def moved(document: Document, amount: Decimal) -> list[Part]:
    """Return the pair of rows that moves money from the account to a document."""
    return [
        Part(Method.ACCOUNT, -amount, buyer=document.buyer),
        Part(Method.ACCOUNT, amount, document=document),
    ]


def _done(request_id):
    return Payment.objects.filter(request_id=request_id).first()


def _refuse(amount, on, document=None):
    """Raise SaleRefused for what no account can take; return the nursery."""
    refuse_closed(on)
    nursery = Nursery.current()
    if document and document.buyer is None:
        raise SaleRefused(f"{document} was sold to a walk-in, who has no account.")
    if document:
        refuse_wrong_payment(document.number, document.date, amount, on, nursery.currency)
    refuse_wrong_amount(amount, nursery.currency)
    if amount < 0:
        raise SaleRefused("Enter an amount above nothing.", field="amount")
    return nursery


def _free(buyer, on):
    return max(free_on_account(buyer, on), Decimal(0))


def _refuse_more(amount, most, words, nursery):
    if amount > most:
        raise SaleRefused(
            f"{format_money(most, nursery.currency)} {words}; "
            f"{format_money(amount, nursery.currency)} is more.",
            field="amount",
        )
