"""Write off what a walk with a sheet found dead: many lots, compared under the ledger's lock."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inventory.errors import LedgerError, NotEnoughPlants
from inventory.models import LossCause, Lot, Operation
from inventory.operations.book import BOOK, Book
from inventory.operations.lose import BY_POLICY, Loss, lose
from inventory.operations.posting import Draft, writes_ledger


@dataclass(frozen=True)
class Looked:
    """A lot that somebody looked at: what the sheet said it held, and how many live."""

    lot: Lot
    alive: int
    cause: LossCause
    expected_to_hold: int
    treatment: str = BY_POLICY


class SheetHasAged(LedgerError):
    """Plants came or went while the sheet was out, so the numbers on it need another look."""


@writes_ledger
def write_off_walk(
    *, looked: Iterable[Looked], on: date, note: str = "", book: Book = BOOK
) -> Draft:
    """Write off, lot by lot, what is on hand that day beyond what is alive.

    Every lot looked at is counted, those whose plants are all alive too. Raises
    SheetHasAged where a lot no longer holds what the sheet said, because nobody
    can tell whether the plants that left were counted among the living.
    """
    looked = list(looked)
    held = {look.lot.pk: book.on_hand(look.lot, on) for look in looked}
    aged = [look for look in looked if look.expected_to_hold != held[look.lot.pk]]
    if aged:
        raise SheetHasAged(" ".join(_word_aged(look, held[look.lot.pk]) for look in aged))
    losses = [_loss(look, held[look.lot.pk], on) for look in looked]
    losses = [loss for loss in losses if loss.quantity]
    draft = Draft.of(Operation.Kind.LOSS if losses else Operation.Kind.COUNT, on, note)
    for loss in losses:
        lose(draft, loss, book)
    for look in looked:
        draft.count(look.lot, look.alive)
    return draft


def _loss(look, held, on):
    if look.alive > held:
        raise NotEnoughPlants(look.lot.code, held=held, wanted=look.alive, on=on)
    return Loss(look.lot, held - look.alive, look.cause, look.treatment)


def _word_aged(look, held):
    return (
        f"Lot {look.lot} held {look.expected_to_hold} when the sheet was made and holds "
        f"{held} now: are {look.alive} still alive?"
    )
