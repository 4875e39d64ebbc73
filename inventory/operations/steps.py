"""Tick the steps of a batch: done, left out with a reason, undone; say how it is raised."""

from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import date
from uuid import UUID, uuid5

from inventory.errors import AlreadyUndone, LedgerError
from inventory.models import Batch, MethodStep, Operation, StepDone
from inventory.operations.posting import ledger_held
from inventory.queries.steps_done import last_of
from inventory.treatment import FIELDS, Treatment

Kind = StepDone.Kind


class DoneBefore(LedgerError):
    """The step was done for that batch, or left out, before."""


@ledger_held()
def tick_step(
    *,
    batch: Batch,
    step: MethodStep,
    on: date,
    request_id: UUID,
    skipped_for: str = "",
    operation: Operation | None = None,
    by=None,
) -> StepDone:
    """Note that a step was done for a batch on a day, or left out where there is a reason.

    `operation` is the entry that did it: undone, the step is to be done again. Raises
    DoneBefore where it is done already, and LedgerError before the batch began or for a
    step of another method.
    """
    if known := StepDone.objects.filter(request_id=request_id).first():
        return known
    last = last_of(batch, step)
    _refuse(batch, step, on, last)
    return _write(
        Kind.SKIPPED if skipped_for else Kind.DONE,
        last,
        batch=batch,
        step=step,
        date=on,
        what=step.name,
        reason=skipped_for,
        operation=operation,
        request_id=request_id,
        entered_by=by,
    )


@ledger_held()
def tick_steps(
    *, steps: Iterable[tuple[Batch, MethodStep]], on: date, request_id: UUID, by=None
) -> list[StepDone]:
    """Note that steps were done for several batches in one walk; all, or none.

    What was done before is left as it is. The same request again returns the first result.
    """
    ticked = []
    for batch, step in steps:
        own = uuid5(request_id, f"{batch.pk}-{step.pk}")
        with suppress(DoneBefore):
            ticked.append(tick_step(batch=batch, step=step, on=on, request_id=own, by=by))
    return ticked


@ledger_held()
def untick_steps(*, done: Iterable[StepDone], by=None) -> None:
    """Undo several steps that were ticked together; all, or none."""
    for row in done:
        # A second press of the same button is the same request.
        untick_step(done=row, request_id=uuid5(row.request_id, "undo"), by=by)


@ledger_held()
def enter_for_step(
    *, batch: Batch, step: MethodStep, write: Callable[[], Operation], by=None
) -> Operation:
    """Write an entry that does a step, and tick the step with it; both, or neither.

    Undoing the entry undoes the step. One that was ticked before stays as it is.
    """
    operation = write()
    with suppress(DoneBefore):
        tick_step(
            batch=batch,
            step=step,
            on=operation.date,
            operation=operation,
            request_id=uuid5(operation.request_id, "step"),
            by=by,
        )
    return operation


@ledger_held()
def untick_step(*, done: StepDone, request_id: UUID, by=None) -> StepDone:
    """Undo that a step was done or left out: it is to be done again.

    Raises AlreadyUndone where something came after it.
    """
    if known := StepDone.objects.filter(request_id=request_id).first():
        return known
    last = last_of(done.batch, done.step)
    if last is None or last.pk != done.pk or not last.holds:
        raise AlreadyUndone
    facts = {"batch": done.batch, "step": done.step, "date": done.date, "what": done.what}
    return _write(Kind.UNDONE, done, **facts, request_id=request_id, entered_by=by)


@ledger_held()
def say_how_raised(*, batch: Batch, treatment: Treatment, words: str = "") -> Batch:
    """Set a batch's method and how it was treated; the same once more changes nothing.

    `words` is the treatment in one line; left empty, it is written from the rest.
    """
    for name in ("method", *FIELDS):
        setattr(batch, name, getattr(treatment, name))
    batch.treatment = words or treatment.in_words
    batch.save(update_fields=["method", *FIELDS, "treatment"])
    return batch


def _refuse(batch, step, on, last):
    if step.method_id != batch.method_id:
        raise LedgerError(f"Batch {batch} is not raised by “{step.method}”.", field="step")
    if on < batch.started_on:
        raise LedgerError(
            f"Batch {batch} began on {batch.started_on:%d %B %Y}. Enter that day or a later one.",
            field="on",
        )
    if last and last.holds:
        raise DoneBefore(
            f"“{last.what}” was {last.get_kind_display()} for {batch} on {last.date:%d %B %Y} "
            "already. Undo that first."
        )


def _write(kind, last, **facts):
    return StepDone.objects.create(kind=kind, follows=last, **facts)
