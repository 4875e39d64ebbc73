"""Buy supplies, count them, and take an entry back."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.errors import LedgerError
from inventory.models import Supply, SupplyEntry
from inventory.operations.posting import ledger_held, refuse_closed
from inventory.queries.supplies import cost_of_using, on_hand_of


def buy(
    *,
    supply: Supply,
    quantity: Decimal,
    amount: Decimal,
    on: date,
    request_id: UUID,
    supplier: str = "",
    note: str = "",
    by=None,
) -> SupplyEntry:
    """Buy a quantity of a supply for an amount in all."""
    if quantity <= 0 or amount < 0:
        raise LedgerError("A purchase has a quantity, and a price of nothing or more.")
    entry = SupplyEntry(
        supply=supply,
        date=on,
        kind=SupplyEntry.Kind.BOUGHT,
        quantity=quantity,
        amount=amount,
        supplier=supplier,
        note=note,
    )
    return _write(entry, request_id, by)


def count_supply(
    *, supply: Supply, found: Decimal, on: date, request_id: UUID, note: str = "", by=None
) -> SupplyEntry:
    """Count a supply: what is missing leaves at its average, what is more is found free."""
    with ledger_held():
        there = on_hand_of(supply).quantity
        missing = there - found
        entry = SupplyEntry(
            supply=supply,
            date=on,
            kind=SupplyEntry.Kind.COUNTED,
            quantity=-missing,
            amount=-cost_of_using(supply, missing) if missing > 0 else Decimal(0),
            note=note,
        )
        return _write(entry, request_id, by)


def undo_supply_entry(*, entry: SupplyEntry, request_id: UUID, by=None) -> SupplyEntry:
    """Undo a purchase or a count of supplies by an entry that names it."""
    if entry.operation_id or entry.kind == SupplyEntry.Kind.UNDONE:
        raise LedgerError("This belongs to what was done with plants: undo that instead.")
    with ledger_held():
        if SupplyEntry.objects.filter(reverses=entry).exclude(request_id=request_id).exists():
            raise LedgerError("This was undone already; there is nothing left to undo.")
        undoing = SupplyEntry(
            supply=entry.supply,
            date=entry.date,
            kind=SupplyEntry.Kind.UNDONE,
            quantity=-entry.quantity,
            amount=-entry.amount,
            reverses=entry,
        )
        return _write(undoing, request_id, by)


def _write(entry, request_id, by):
    with ledger_held():
        done = SupplyEntry.objects.filter(request_id=request_id).first()
        if done:
            return done
        refuse_closed(entry.date)
        entry.request_id, entry.entered_by = request_id, by
        entry.save(force_insert=True)
        return entry
