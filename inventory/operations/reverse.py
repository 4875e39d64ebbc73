"""Undo an operation by an entry that names it. Nothing is changed or deleted."""

from uuid import UUID

from inventory.costing.replay import Overdrawn
from inventory.entered_with import take_back_with
from inventory.errors import AlreadyUndone, CannotUndo
from inventory.models import (
    BillShare,
    CostEntry,
    Movement,
    Operation,
    SupplyEntry,
    WorkEntry,
)
from inventory.operations.kept_rows import (
    forget,
    write_balances,
    write_carried,
    write_uncarried,
)
from inventory.operations.posting import (
    keep_places,
    keep_sizes,
    ledger_held,
    refuse_closed,
    word_overdrawn,
)
from inventory.operations.settling import settle_undone
from inventory.queries.on_hand import in_force


def reverse(
    *,
    operation: Operation,
    request_id: UUID,
    by=None,
    note: str = "",
    with_its_bill: bool = False,
) -> Operation:
    """Undo an operation: every figure becomes what it would be without it.

    The reversal bears the operation's date. Raises AlreadyUndone, and CannotUndo
    where plants of it have since been sold, moved or lost, or where it is a part of
    a bill that is not undone with it.
    """
    with ledger_held():
        done = Operation.objects.filter(request_id=request_id).first()
        if done:
            return done
        refuse_closed(operation.date)
        _refuse_what_cannot_be_undone(operation)
        if not with_its_bill:
            _refuse_part_of_bill(operation)
        try:
            settlement = settle_undone(operation)
        except Overdrawn as error:
            raise CannotUndo(
                f"Plants of this entry left their lot later. {word_overdrawn(error)} "
                "Undo what came later first."
            ) from error
        reversal = _write_reversal(operation, request_id, by, note)
        forget(operation.pk)
        take_back_with(operation)
        write_carried((key, after, carried) for key, (after, carried) in settlement.carried.items())
        write_balances(settlement.balances, operation.date)
        write_uncarried(settlement.uncarried)
        keep_places(set(operation.placements.values_list("lot", flat=True)))
        keep_sizes(set(operation.measurements.values_list("lot", flat=True)))
        return reversal


def _refuse_what_cannot_be_undone(operation):
    if operation.kind == Operation.Kind.UNDO:
        raise CannotUndo("An undoing is not undone; enter what happened again.")
    if Operation.objects.filter(reverses=operation).exists():
        raise AlreadyUndone
    returns = Movement.objects.filter(of__operation=operation).exclude(operation=operation)
    if in_force(returns).exists():
        raise CannotUndo("Plants of this sale came back. Undo the return first.")


def _refuse_part_of_bill(operation):
    is_cost = operation.kind == Operation.Kind.COST
    if is_cost and BillShare.objects.filter(operation=operation).exists():
        raise CannotUndo("This is a part of a bill, and the parts add up. Undo the bill instead.")


def _write_reversal(operation, request_id, by, note):
    reversal = Operation(
        request_id=request_id,
        kind=Operation.Kind.UNDO,
        date=operation.date,
        note=note,
        reverses=operation,
        entered_by=by,
    )
    reversal.save(force_insert=True)
    Movement.objects.bulk_create(
        Movement(
            operation=reversal,
            date=row.date,
            kind=row.kind,
            quantity=row.quantity,
            from_lot_id=row.to_lot_id,
            to_lot_id=row.from_lot_id,
            batch_id=row.batch_id,
            cause_id=row.cause_id,
            of_id=row.of_id,
        )
        for row in operation.movements.order_by("pk")
    )
    CostEntry.objects.bulk_create(
        CostEntry(
            operation=reversal,
            date=row.date,
            lot_id=row.lot_id,
            category=row.category,
            amount=-row.amount,
        )
        for row in operation.costs.order_by("pk")
    )
    _give_back_what_was_spent(operation, reversal)
    return reversal


def _give_back_what_was_spent(operation, reversal):
    SupplyEntry.objects.bulk_create(
        SupplyEntry(
            operation=reversal,
            supply_id=row.supply_id,
            date=row.date,
            kind=SupplyEntry.Kind.UNDONE,
            quantity=-row.quantity,
            amount=-row.amount,
            reverses=row,
        )
        for row in operation.supplies.order_by("pk")
    )
    WorkEntry.objects.bulk_create(
        WorkEntry(
            operation=reversal,
            person_id=row.person_id,
            category=row.category,
            minutes=-row.minutes,
            amount=-row.amount,
        )
        for row in operation.work.order_by("pk")
    )
