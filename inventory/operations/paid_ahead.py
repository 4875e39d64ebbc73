"""Keep what was paid for days to come, charge it part by part, and undo either."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.costing.categories import CATEGORIES
from inventory.errors import AlreadyUndone, CannotUndo, LedgerError
from inventory.models import Bill, PaidAhead, Place
from inventory.operations.bills import enter_bill
from inventory.operations.posting import ledger_held, refuse_closed
from inventory.queries.bills import refuse_unused_unless_by_area
from inventory.queries.paid_ahead import part_refused, standing_of


def pay_ahead(
    *,
    category: str,
    amount: Decimal,
    first_day: date,
    last_day: date,
    request_id: UUID,
    place: Place | None = None,
    basis: str = PaidAhead.Basis.AREA,
    unused: str = PaidAhead.Unused.PLANTS,
    note: str = "",
    by=None,
) -> PaidAhead:
    """Keep an amount paid for days to come. No plant bears any of it until a part is charged."""
    with ledger_held():
        done = PaidAhead.objects.filter(request_id=request_id).first()
        if done:
            return done
        row = PaidAhead(
            request_id=request_id,
            category=category,
            amount=amount,
            first_day=first_day,
            last_day=last_day,
            place=place,
            basis=basis,
            unused=unused,
            note=note,
            entered_by=by,
        )
        _refuse(row)
        row.save(force_insert=True)
        return row


def charge_part(*, paid_ahead: PaidAhead, until: date, request_id: UUID, by=None) -> Bill:
    """Charge what was paid ahead up to a day, and return the part: an ordinary bill.

    It is what the days up to `until` are worth, in whole cents, less what is charged
    already. Days of a closed period are charged with the first open ones.
    """
    with ledger_held():
        done = Bill.objects.filter(request_id=request_id).first()
        if done:
            return done
        standing = standing_of(paid_ahead)
        part = standing.next_part(until)
        refusal = part_refused(standing, part)
        if refusal:
            raise refusal
        return enter_bill(
            category=paid_ahead.category,
            amount=part.amount,
            first_day=part.first_day,
            last_day=part.last_day,
            request_id=request_id,
            place=paid_ahead.place,
            basis=paid_ahead.basis,
            unused=paid_ahead.unused,
            note=paid_ahead.note,
            paid_ahead=paid_ahead,
            by=by,
        )


def undo_paid_ahead(*, paid_ahead: PaidAhead, request_id: UUID, by=None) -> PaidAhead:
    """Undo an amount paid ahead. Raises CannotUndo while a part of it is charged."""
    with ledger_held():
        done = PaidAhead.objects.filter(request_id=request_id).first()
        if done:
            return done
        if paid_ahead.reverses_id:
            raise CannotUndo("An undoing is not undone; enter the amount again.")
        if PaidAhead.objects.filter(reverses=paid_ahead).exists():
            raise AlreadyUndone
        if standing_of(paid_ahead).parts:
            raise CannotUndo("Parts of it are charged to plants. Undo these first, the last first.")
        refuse_closed(paid_ahead.first_day)
        reversal = PaidAhead(
            request_id=request_id,
            category=paid_ahead.category,
            amount=-paid_ahead.amount,
            first_day=paid_ahead.first_day,
            last_day=paid_ahead.last_day,
            place=paid_ahead.place,
            basis=paid_ahead.basis,
            unused=paid_ahead.unused,
            reverses=paid_ahead,
            entered_by=by,
        )
        reversal.save(force_insert=True)
        return reversal


def _refuse(row: PaidAhead) -> None:
    if row.category not in CATEGORIES:
        raise LedgerError(f"There is no kind of cost called {row.category}.", field="category")
    if row.amount <= 0:
        raise LedgerError("It is for more than nothing. Enter its amount.", field="amount")
    if row.last_day < row.first_day:
        raise LedgerError("It lasts for a day at least. Enter how long.", field="lasts")
    refuse_unused_unless_by_area(row)
    refuse_closed(row.first_day)
