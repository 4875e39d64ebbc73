"""Say what is wanted for sale, and by when. Targets are no ledger: they may be changed."""

from datetime import date
from uuid import UUID

from inventory.errors import LedgerError
from inventory.models import Container, Plant, Target
from inventory.operations.posting import ledger_held


@ledger_held()
def add_target(
    *,
    plant: Plant,
    container: Container,
    quantity: int,
    ready_by: date,
    assurance: int = Target.Assurance.SURELY,
    note: str = "",
    request_id: UUID,
) -> Target:
    """Want so many plants of one kind ready to sell in a container by a day.

    The same request again returns the first result. Raises LedgerError for a container that
    plants are not sold in.
    """
    if done := Target.objects.filter(request_id=request_id).first():
        return done
    target = Target(request_id=request_id)
    facts = {"plant": plant, "container": container, "quantity": quantity}
    return _write(target, **facts, ready_by=ready_by, assurance=assurance, note=note)


@ledger_held()
def change_target(
    *,
    target: Target,
    plant: Plant,
    container: Container,
    quantity: int,
    ready_by: date,
    assurance: int,
    note: str = "",
) -> Target:
    """Change all that a target says; the same once more changes nothing.

    Undo is a change back. Raises LedgerError as `add_target` does.
    """
    facts = {"plant": plant, "container": container, "quantity": quantity}
    return _write(target, **facts, ready_by=ready_by, assurance=assurance, note=note)


@ledger_held()
def remove_target(*, target: Target) -> Target:
    """Take a target off every page; `put_target_back` undoes it."""
    target.is_removed = True
    target.save(update_fields=["is_removed"])
    return target


@ledger_held()
def put_target_back(*, target: Target) -> Target:
    """Want again what was taken off."""
    target.is_removed = False
    target.save(update_fields=["is_removed"])
    return target


def _write(target, **facts):
    container = facts["container"]
    if not container.for_sale:
        raise LedgerError(
            f"Plants are not sold in {container}. Choose a container for sale, such as #1.",
            field="container",
        )
    for name, value in facts.items():
        setattr(target, name, value)
    target.save()
    return target
