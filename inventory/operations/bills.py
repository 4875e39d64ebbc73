"""Enter a bill for a place and some days, sharing it among the lots; and undo it whole."""

from datetime import date
from decimal import Decimal
from uuid import UUID, uuid5

from inventory.costing.categories import CATEGORIES
from inventory.errors import AlreadyUndone, CannotUndo, LedgerError
from inventory.models import Bill, BillShare, Lot, Operation, PaidAhead, Place
from inventory.operations.posting import Draft, ledger_held, post_together, refuse_closed
from inventory.operations.reverse import reverse
from inventory.queries.bills import Asked, Sharing, share_out
from nursery.money import from_millionths


def enter_bill(
    *,
    category: str,
    amount: Decimal,
    first_day: date,
    last_day: date,
    request_id: UUID,
    place: Place | None = None,
    basis: str = Bill.Basis.AREA,
    unused: str = Bill.Unused.PLANTS,
    note: str = "",
    paid_ahead: PaidAhead | None = None,
    by=None,
) -> Bill:
    """Enter a bill and charge each lot its part of the days, whenever its number changed.

    So plants that were sold or potted up within the days bear their part and no more. All
    or nothing; the parts and the unused amount add up to the bill exactly.
    """
    asked = Asked(category, amount, first_day, last_day, place, basis, unused)
    with ledger_held():
        done = Bill.objects.filter(request_id=request_id).first()
        if done:
            return done
        refuse_bill(asked)
        sharing = share_out(asked)
        bill = _write_bill(
            asked, sharing, note=note, paid_ahead=paid_ahead, request_id=request_id, entered_by=by
        )
        _charge(bill, sharing, by)
        return bill


def refuse_bill(asked: Asked) -> None:
    """Raise LedgerError for a bill that cannot be entered, whoever stood where."""
    if asked.category not in CATEGORIES:
        raise LedgerError(f"There is no kind of cost called {asked.category}.", field="category")
    if asked.amount <= 0:
        raise LedgerError("A bill is for more than nothing. Enter its amount.", field="amount")
    if asked.last_day < asked.first_day:
        raise LedgerError(
            f"The last day is before the first. Enter {asked.first_day.isoformat()} or later.",
            field="last_day",
        )
    if asked.last_day > date.today():
        raise LedgerError(
            f"{asked.last_day.isoformat()} has not come yet, and nobody knows which plants will "
            "stand there. Share the days up to today, and the rest when they are over.",
            field="last_day",
        )
    refuse_closed(asked.first_day)


def undo_bill(*, bill: Bill, request_id: UUID, by=None, note: str = "") -> Bill:
    """Undo a bill with all its parts: every figure becomes what it would be without it."""
    with ledger_held():
        done = Bill.objects.filter(request_id=request_id).first()
        if done:
            return done
        if bill.reverses_id:
            raise CannotUndo("An undoing is not undone; enter the bill again.")
        if Bill.objects.filter(reverses=bill).exists():
            raise AlreadyUndone
        _refuse_earlier_part(bill)
        refuse_closed(bill.first_day)
        for share in bill.shares.select_related("operation").order_by("-operation"):
            reverse(
                operation=share.operation,
                request_id=uuid5(request_id, str(share.operation_id)),
                by=by,
                note=note,
                with_its_bill=True,
            )
        return _write_reversal(bill, request_id, by, note)


def _refuse_earlier_part(bill: Bill) -> None:
    later = Bill.objects.filter(
        paid_ahead=bill.paid_ahead_id, last_day__gt=bill.last_day, reverses=None, reversed_by=None
    )
    last = bill.paid_ahead_id and later.order_by("-last_day").first()
    if last:
        raise CannotUndo(
            "Later parts of what was paid ahead are charged. Undo the last first, which goes "
            f"to {last.last_day.isoformat()}."
        )


def _write_bill(asked, sharing: Sharing, **more) -> Bill:
    bill = Bill(
        category=asked.category,
        amount=asked.amount,
        first_day=asked.first_day,
        last_day=asked.last_day,
        place=asked.place,
        basis=asked.basis,
        unused=asked.unused,
        unused_amount=from_millionths(sharing.unused_amount),
        **more,
    )
    bill.save(force_insert=True)
    return bill


def _charge(bill: Bill, sharing: Sharing, by) -> None:
    """Write the parts, an operation for each day, and link them to the bill."""
    lots = Lot.objects.in_bulk({part.lot for part in sharing.parts})
    drafts = []
    for day, parts in sharing.by_day():
        draft = Draft.of(Operation.Kind.COST, day, bill.note)
        for part in parts:
            draft.charge(lots[part.lot], {bill.category: from_millionths(part.amount)})
        drafts.append(draft)
    if drafts:
        request_ids = [uuid5(bill.request_id, f"{number}") for number in range(len(drafts))]
        operations = post_together(drafts, request_ids=request_ids, by=by)
        BillShare.objects.bulk_create(BillShare(bill=bill, operation=one) for one in operations)


def _write_reversal(bill: Bill, request_id, by, note) -> Bill:
    reversal = Bill(
        request_id=request_id,
        category=bill.category,
        amount=-bill.amount,
        first_day=bill.first_day,
        last_day=bill.last_day,
        place=bill.place,
        basis=bill.basis,
        unused=bill.unused,
        unused_amount=-bill.unused_amount,
        paid_ahead=bill.paid_ahead,
        note=note,
        reverses=bill,
        entered_by=by,
    )
    reversal.save(force_insert=True)
    return reversal
