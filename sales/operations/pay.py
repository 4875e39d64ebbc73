"""Take money for a document, and give it back."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.models import Nursery
from inventory.operations.posting import ledger_held, refuse_closed
from nursery.money import round_to_currency
from sales.errors import SaleRefused
from sales.models import Document, Payment
from sales.queries.owed import owed


def pay(
    *,
    document: Document,
    amount: Decimal,
    method: str,
    on: date,
    request_id: UUID,
    by=None,
) -> Payment:
    """Record money received for a document, or paid back where negative.

    Raises SaleRefused where the amount is nothing, not whole in the currency, or
    more than is owed.
    """
    with ledger_held():
        done = Payment.objects.filter(request_id=request_id).first()
        if done:
            return done
        refuse_closed(on)
        currency = Nursery.current().currency
        refuse_wrong_payment(document.number, document.date, amount, on, currency)
        open_amount = owed(document)
        if amount > max(open_amount, 0):
            raise SaleRefused(
                f"{open_amount:.2f} is owed on {document}; {amount:.2f} is more. "
                "Enter what belongs to this document.",
                field="amount",
            )
        return write_payment(document, amount, method, on, request_id)


def refuse_wrong_payment(
    number: str, dated: date, amount: Decimal, on: date, currency: str
) -> None:
    """Raise SaleRefused where no such amount is ever paid, or not yet on that day."""
    if amount == 0 or amount != round_to_currency(amount, currency):
        raise SaleRefused(
            f"{amount} is not an amount that can be paid in {currency}.", field="amount"
        )
    if on < dated:
        raise SaleRefused(
            f"{number} is dated {dated.isoformat()}; it cannot be paid before.", field="date"
        )


def undo_payment(*, payment: Payment, request_id: UUID, by=None) -> Payment:
    """Take a payment off its document again by an entry that names it."""
    with ledger_held():
        done = Payment.objects.filter(request_id=request_id).first()
        if done:
            return done
        if payment.reverses_id or Payment.objects.filter(reverses=payment).exists():
            raise SaleRefused("This payment was undone already.")
        refuse_closed(payment.date)
        return write_payment(
            payment.document,
            -payment.amount,
            payment.method,
            payment.date,
            request_id,
            reverses=payment,
        )


def write_payment(
    document: Document,
    amount: Decimal,
    method: str,
    on: date,
    request_id: UUID,
    reverses: Payment | None = None,
) -> Payment:
    """Write one payment row. Call it with the ledger held."""
    payment = Payment(
        document=document,
        amount=amount,
        method=method,
        date=on,
        request_id=request_id,
        reverses=reverses,
    )
    payment.save(force_insert=True)
    return payment
