"""Plants leave: sold, given back, used on the place, or given away. Money joins a lot."""

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal

from inventory.errors import LedgerError
from inventory.held import short_without, short_words
from inventory.models import LossCause, Lot, Movement, Operation
from inventory.operations.book import BOOK, Book
from inventory.operations.posting import Draft, writes_ledger
from inventory.operations.spending import Use, Work, spend
from inventory.queries.on_hand import still_out

OUTLETS = {
    Operation.Kind.USE: Movement.Kind.USED,
    Operation.Kind.GIVE: Movement.Kind.GIVEN,
}


@writes_ledger
def take_out(
    *,
    kind: str,
    lot: Lot,
    quantity: int,
    on: date,
    note: str = "",
    despite_holds: bool = False,
    book: Book = BOOK,
) -> Draft:
    """Use plants on the place (kind "use") or give them away ("give"), at an expense.

    Raises LedgerError where plants promised to a buyer would be missing, unless it is meant
    `despite_holds`.
    """
    _refuse_none(quantity)
    if not despite_holds and quantity <= book.on_hand(lot, on):
        _refuse_promised(lot, quantity)
    draft = Draft.of(kind, on, note)
    draft.move(OUTLETS[kind], quantity, from_lot=lot)
    return draft


@writes_ledger
def add_cost(
    *,
    lot: Lot,
    costs: Mapping[str, Decimal] | None = None,
    uses: Iterable[Use | Work] = (),
    on: date,
    note: str = "",
    book: Book = BOOK,
) -> Draft:
    """Add money, supplies used or time to a lot's cost.

    Where the lot holds no plants that day it is expensed.
    """
    draft = Draft.of(Operation.Kind.COST, on, note)
    draft.charge(lot, costs)
    spend(draft, lot, uses)
    return draft


def draft_sale(takes: Iterable[tuple[Lot, int]], on: date, note: str = "") -> Draft:
    """Draft the plants of a sale leaving their lots, one movement a take."""
    draft = Draft.of(Operation.Kind.SALE, on, note)
    for lot, quantity in takes:
        _refuse_none(quantity)
        draft.move(Movement.Kind.SOLD, quantity, from_lot=lot)
    return draft


def draft_return(
    given_back: Iterable[tuple[Movement, int]],
    on: date,
    *,
    restock: bool,
    cause: LossCause | None = None,
    note: str = "",
) -> Draft:
    """Draft sold plants coming back at their cost of sale, into stock or lost at once."""
    draft = Draft.of(Operation.Kind.RETURN, on, note)
    wanted: Counter[Movement] = Counter()
    for sale, quantity in given_back:
        _refuse_none(quantity)
        wanted[sale] += quantity
        if wanted[sale] > (out := still_out(sale)):
            raise LedgerError(
                f"{out} of these plants are still with the buyer; {wanted[sale]} cannot come back.",
                field="quantity",
            )
        if on < sale.date:
            raise LedgerError(
                f"Sold on {sale.date.isoformat()}: plants cannot come back before.",
                field="date",
            )
        back = draft.move(Movement.Kind.RETURNED, quantity, to_lot=sale.from_lot, of=sale)
        if not restock:
            draft.move(
                Movement.Kind.LOST_ABNORMAL,
                quantity,
                from_lot=sale.from_lot,
                cause=cause or LossCause.objects.get(code="other"),
                of=back,
            )
    return draft


def _refuse_promised(lot, quantity):
    if missing := short_words(short_without({lot.pk: quantity})):
        raise LedgerError(
            f"{missing} Take fewer, or tick that they go all the same.", field="despite_holds"
        )


def _refuse_none(quantity):
    if quantity < 1:
        raise LedgerError("Take at least one plant.", field="quantity")
