"""Close a period, so that nothing in it changes any more; open it again with a reason."""

from datetime import date
from uuid import UUID

from inventory.errors import LedgerError
from inventory.models import Closing
from inventory.operations.posting import ledger_held
from inventory.queries.closed import closed_to
from inventory.queries.closings import stock_at


def close_period(*, last_day: date, request_id: UUID, by=None) -> Closing:
    """Close every day up to `last_day`, and keep what the stock was then.

    Raises LedgerError for a day to come, and for one that is closed already.
    """
    with ledger_held():
        done = Closing.objects.filter(request_id=request_id).first()
        if done:
            return done
        _refuse_wrong_day(last_day, closed_to())
        return _write(
            Closing(kind=Closing.Kind.CLOSE, closed_to=last_day, snapshot=stock_at(last_day)),
            request_id,
            by,
        )


def reopen(*, to: date | None, reason: str, request_id: UUID, by) -> Closing:
    """Open the closed days after `to` again, or all of them where it is None.

    Only the owner may, and says why. Raises LedgerError otherwise, and where no
    day after `to` is closed.
    """
    with ledger_held():
        done = Closing.objects.filter(request_id=request_id).first()
        if done:
            return done
        _refuse_reopening(to, reason.strip(), by, closed_to())
        return _write(
            Closing(kind=Closing.Kind.REOPEN, closed_to=to, reason=reason.strip()),
            request_id,
            by,
        )


def _refuse_wrong_day(last_day, closed):
    if last_day > date.today():
        raise LedgerError(
            f"{last_day.isoformat()} has not come yet; a day can be closed once it is here. "
            f"The latest is {date.today().isoformat()}.",
            field="last_day",
        )
    if closed and last_day <= closed:
        raise LedgerError(
            f"The books are closed up to {closed.isoformat()} already, and "
            f"{last_day.isoformat()} is not after it. Choose a later day, or let the owner "
            "open the period again.",
            field="last_day",
        )


def _refuse_reopening(to, reason, by, closed):
    if not getattr(by, "is_superuser", False):
        raise LedgerError("Only the owner of the ledger may open a closed period again.")
    if not reason:
        raise LedgerError("Say why the period is opened again; it is kept.", field="reason")
    if closed is None:
        raise LedgerError("No period is closed, so there is none to open again.")
    if to and to >= closed:
        raise LedgerError(
            f"The books are closed up to {closed.isoformat()}. To open days again, give an "
            "earlier day up to which they stay closed, or none.",
            field="to",
        )


def _write(closing, request_id, by):
    closing.request_id, closing.entered_by = request_id, by
    closing.save(force_insert=True)
    return closing
