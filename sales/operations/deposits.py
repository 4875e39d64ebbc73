"""Take a deposit for a hold, and pay it back."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.operations.posting import ledger_held
from nursery.context import current_currency
from nursery.money import format_money
from sales.errors import SaleRefused
from sales.models import Hold, HoldDeposit, Payment
from sales.operations.account import give_back, take_on_account
from sales.queries.deposits import deposit_of


def take_deposit(
    *,
    hold: Hold,
    amount: Decimal,
    method: str,
    on: date,
    request_id: UUID,
    note: str = "",
    by=None,
) -> Payment:
    """Take money onto the buyer's account for a hold, and return the payment.

    It is owed to the buyer until an invoice of the hold uses it. Raises SaleRefused where
    nothing is left to hand over, and what `take_on_account` refuses.
    """
    with ledger_held():
        if done := _done(request_id):
            return done
        if not any(line.open for line in hold.lines.with_taken()):
            raise SaleRefused(
                f"{hold} keeps no plants any more. Take the money onto the account of "
                f"{hold.buyer} instead."
            )
        payment = take_on_account(
            buyer=hold.buyer,
            amount=amount,
            method=method,
            on=on,
            note=note,
            request_id=request_id,
            by=by,
        )
        return _joined(hold, payment)


def give_deposit_back(
    *, hold: Hold, amount: Decimal, method: str, on: date, request_id: UUID, by=None
) -> Payment:
    """Pay a hold's deposit back, all or a part, and return the payment.

    Raises SaleRefused for more than is left of it, and what `give_back` refuses.
    """
    with ledger_held():
        if done := _done(request_id):
            return done
        left = deposit_of(hold, on).left
        if amount > left:
            currency = current_currency()
            raise SaleRefused(
                f"{format_money(left, currency)} of the deposit is left; "
                f"{format_money(amount, currency)} is more.",
                field="amount",
            )
        payment = give_back(
            buyer=hold.buyer, amount=amount, method=method, on=on, request_id=request_id, by=by
        )
        return _joined(hold, payment)


def _done(request_id):
    return Payment.objects.filter(request_id=request_id).first()


def _joined(hold, payment):
    """Join a payment, with what was rounded of it, to the hold."""
    HoldDeposit.objects.bulk_create(
        HoldDeposit(hold=hold, payment=row) for row in (payment, *payment.parts.all())
    )
    return payment
