"""Pot up, move and blend: plants go from one lot to another."""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal

from inventory.errors import LedgerError, LotMismatch, NotEnoughPlants
from inventory.models import Container, LossCause, Lot, Movement, Operation, Place
from inventory.operations.book import BOOK, Book
from inventory.operations.lose import BY_POLICY, Loss, lose
from inventory.operations.lots import grown_into, stand_where_they_stood
from inventory.operations.measure import join_sizes
from inventory.operations.posting import Draft, writes_ledger
from inventory.operations.spending import Use, Work, spend


@writes_ledger
def pot_up(
    *,
    lot: Lot,
    quantity: int,
    to_lot: str,
    container: Container | None,
    on: date,
    place: Place | None = None,
    lost: int = 0,
    cause: LossCause | None = None,
    treatment: str = BY_POLICY,
    costs: Mapping[str, Decimal] | None = None,
    uses: Iterable[Use | Work] = (),
    note: str = "",
    book: Book = BOOK,
) -> Draft:
    """Pot up some or all of a lot into a new or standing lot, with losses on the way.

    The losses leave `lot` first; costs, supplies used and time are charged to the
    lot potted into. Its plants are measured anew.
    """
    target = grown_into(to_lot, lot, container, lot.transplanted_on or on, book)
    _refuse_itself(lot, target)
    _refuse_none(quantity)
    draft = Draft.of(Operation.Kind.POT_UP, on, note)
    if lost:
        cause = cause or LossCause.objects.get(code="cull")
        lose(draft, Loss(lot, lost, cause, treatment), book)
    draft.move(Movement.Kind.MOVED, quantity, from_lot=lot, to_lot=target)
    draft.charge(target, costs)
    spend(draft, target, uses)
    join_sizes(draft, target, None, book)
    stand_where_they_stood(draft, target, place, lot, book)
    return draft


@writes_ledger
def move(
    *,
    lot: Lot,
    on: date,
    place: Place | None = None,
    quantity: int | None = None,
    to_lot: str = "",
    note: str = "",
    book: Book = BOOK,
) -> Draft:
    """Move a lot to another place, or a part of it as a lot of its own."""
    held = book.on_hand(lot, on)
    quantity = held if quantity is None else quantity
    if quantity > held or quantity < 1:
        raise NotEnoughPlants(lot.code, held=held, wanted=quantity, on=on)
    if quantity < held and not to_lot:
        raise LedgerError(
            f"{quantity} of {held} move, so name the lot they become.", field="to_lot"
        )
    draft = Draft.of(Operation.Kind.MOVE, on, note)
    if not to_lot or to_lot == lot.code:
        draft.stand(lot, place)
        return draft
    target = grown_into(to_lot, lot, lot.container, lot.transplanted_on, book, lot.grade)
    draft.move(Movement.Kind.MOVED, quantity, from_lot=lot, to_lot=target)
    join_sizes(draft, target, book.measurement(lot, on), book)
    stand_where_they_stood(draft, target, place, lot, book)
    return draft


@writes_ledger
def blend(
    *,
    lot: Lot,
    to_lot: Lot,
    on: date,
    quantity: int | None = None,
    note: str = "",
    book: Book = BOOK,
) -> Draft:
    """Join a lot, all of it by default, to another of the same plant and container.

    The batches keep their shares, so that a trace still answers. What was measured keeps
    the range that holds for all of them.
    """
    _refuse_itself(lot, to_lot)
    if (lot.plant_id, lot.container_id) != (to_lot.plant_id, to_lot.container_id):
        raise LotMismatch(
            f"Lot {lot} is {lot.plant} in {lot.container}, lot {to_lot} is "
            f"{to_lot.plant} in {to_lot.container}. Only like plants blend."
        )
    held = book.on_hand(lot, on)
    if not held:
        raise NotEnoughPlants(lot.code, held=0, wanted=1, on=on)
    draft = Draft.of(Operation.Kind.BLEND, on, note)
    draft.move(Movement.Kind.MOVED, quantity or held, from_lot=lot, to_lot=to_lot)
    join_sizes(draft, to_lot, book.measurement(lot, on), book)
    return draft


def _refuse_itself(lot, target):
    if lot.pk == target.pk:
        raise LotMismatch(f"Lot {lot} cannot go into itself. Name another lot.")


def _refuse_none(quantity):
    if quantity < 1:
        raise LedgerError("Pot up at least one plant.", field="quantity")
