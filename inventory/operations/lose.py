"""Write plants off: the loss itself, counts that find fewer, and the walk with a sheet."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inventory.costing.loss_policy import split_loss
from inventory.errors import LedgerError, NotEnoughPlants
from inventory.models import LossCause, Lot, Movement, Operation
from inventory.operations.book import BOOK, Book
from inventory.operations.posting import Draft, writes_ledger

NORMAL, ABNORMAL, BY_POLICY = "normal", "abnormal", ""
TREATMENTS = (BY_POLICY, NORMAL, ABNORMAL)


@dataclass(frozen=True)
class Loss:
    """Plants of one lot lost to one cause.

    `treatment` overrules the split by the stage's expected loss: "normal", and
    the survivors carry the cost; "abnormal", and it is expensed.
    """

    lot: Lot
    quantity: int
    cause: LossCause
    treatment: str = BY_POLICY


@writes_ledger
def write_off(*, losses: Iterable[Loss], on: date, note: str = "", book: Book = BOOK) -> Draft:
    """Write off plants of one lot or many, as one sheet that is undone as one."""
    draft = Draft.of(Operation.Kind.LOSS, on, note)
    for loss in losses:
        if loss.quantity < 1:
            raise LedgerError(f"Lot {loss.lot}: write off at least one plant.", field="quantity")
        lose(draft, loss, book)
    return draft


@writes_ledger
def root_count(
    *,
    lot: Lot,
    alive: int,
    on: date,
    cause: LossCause | None = None,
    treatment: str = BY_POLICY,
    note: str = "",
    book: Book = BOOK,
) -> Draft:
    """Count the rooted plants of a lot; the others are lost, not rooted by default."""
    draft = Draft.of(Operation.Kind.ROOT_COUNT, on, note)
    held = book.on_hand(lot, on)
    if alive > held:
        raise NotEnoughPlants(lot.code, held=held, wanted=alive, on=on)
    cause = cause or LossCause.objects.get(code="not rooted")
    draft.count(lot, alive)
    lose(draft, Loss(lot, held - alive, cause, treatment), book)
    return draft


@writes_ledger
def count(
    *,
    lot: Lot,
    found: int,
    on: date,
    cause: LossCause | None = None,
    treatment: str = BY_POLICY,
    note: str = "",
    book: Book = BOOK,
) -> Draft:
    """Count a lot: fewer plants than on the books are lost, more are found at no cost."""
    draft = Draft.of(Operation.Kind.COUNT, on, note)
    held = book.on_hand(lot, on)
    cause = cause or LossCause.objects.get(code="count")
    draft.count(lot, found)
    draft.move(Movement.Kind.FOUND, max(found - held, 0), to_lot=lot)
    lose(draft, Loss(lot, max(held - found, 0), cause, treatment), book)
    return draft


def lose(draft: Draft, loss: Loss, book: Book) -> None:
    """Add a loss to a draft, split into what the stage expects and what is beyond it.

    Raises LedgerError for fewer than no plants.
    """
    if loss.quantity < 0:
        raise LedgerError(f"Lot {loss.lot}: no fewer than none can be lost.", field="lost")
    normal, abnormal = planned_split(loss, draft.date, book)
    for kind, quantity in (
        (Movement.Kind.LOST, normal),
        (Movement.Kind.LOST_ABNORMAL, abnormal),
    ):
        draft.move(kind, quantity, from_lot=loss.lot, cause=loss.cause)


def planned_split(loss: Loss, on: date, book: Book = BOOK) -> tuple[int, int]:
    """Return how many of a loss are normal and how many abnormal (IAS 2 para 16)."""
    if loss.treatment == NORMAL:
        return loss.quantity, 0
    if loss.treatment == ABNORMAL:
        return 0, loss.quantity
    stage = book.stage_so_far(loss.lot, on)
    percent = book.expected_percent(loss.lot, stage.stage)
    split = split_loss(loss.quantity, stage.started, stage.lost, percent)
    return split.normal, split.abnormal
