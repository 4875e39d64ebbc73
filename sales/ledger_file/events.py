"""What each event of the ledger file does: from a row to a draft of an operation."""

from collections.abc import Callable
from decimal import Decimal

from inventory.models import Batch, Container, LossCause, Lot, Operation
from inventory.operations.begin import begin
from inventory.operations.grow import blend, move, pot_up
from inventory.operations.leave import add_cost, take_out
from inventory.operations.lose import TREATMENTS, Loss, count, root_count, write_off
from inventory.operations.posting import Draft
from sales.ledger_file.book import ImportBook
from sales.ledger_file.opened import read_before
from sales.ledger_file.rows import Row
from sales.ledger_file.sizes import measuring, sized


def begun(row: Row, book: ImportBook) -> Draft:
    """stick, sow, divide, receive, opening: start a batch and its first lot."""
    kind = row.text("event")
    bought = kind in (Batch.Kind.RECEIVE, Batch.Kind.OPENING)
    return begin.draft(
        kind=kind,
        batch=row.needed("batch", "a code for the batch"),
        lot=row.needed("lot", "a code for the lot"),
        plant=book.plant(row.needed("plant", "the plant's name")),
        container=_container(row, book, needed=True),
        quantity=row.quantity(),
        on=row.date,
        place=book.place_named(row.text("place")),
        costs=row.costs("plants" if bought else "cuttings"),
        treatment=row.text("treatment"),
        before=read_before(row),
        note=row.text("note"),
        book=book,
    )


def cost(row: Row, book: ImportBook) -> Draft:
    """Add money to a lot."""
    row.needed("amount", "an amount of money, as 12.50")
    return add_cost.draft(
        lot=find_lot(row, book),
        costs=row.costs("other"),
        on=row.date,
        note=row.text("note"),
        book=book,
    )


def rooted(row: Row, book: ImportBook) -> Draft:
    """Count the rooted plants; the others are lost."""
    return root_count.draft(
        lot=find_lot(row, book),
        alive=row.quantity(least=0),
        cause=_cause(row, book),
        treatment=row.choice("treatment", TREATMENTS),
        **_when(row, book),
    )


def lost(row: Row, book: ImportBook) -> Draft:
    """Write plants off."""
    row.needed("cause", f"one of {', '.join(book.causes)}")
    loss = Loss(
        find_lot(row, book),
        row.quantity(),
        _cause(row, book),
        row.choice("treatment", TREATMENTS),
    )
    return write_off.draft(losses=[loss], **_when(row, book))


def potted_up(row: Row, book: ImportBook) -> Draft:
    """Pot up into a new or standing lot."""
    return pot_up.draft(
        lot=find_lot(row, book),
        quantity=row.quantity(),
        to_lot=row.needed("to_lot", "the code of the lot the plants go into"),
        container=_container(row, book),
        place=book.place_named(row.text("place")),
        costs=row.costs("containers"),
        **_when(row, book),
    )


def counted(row: Row, book: ImportBook) -> Draft:
    """Count a lot: fewer are lost, more are found."""
    return count.draft(
        lot=find_lot(row, book),
        found=row.quantity(least=0),
        cause=_cause(row, book),
        treatment=row.choice("treatment", TREATMENTS),
        **_when(row, book),
    )


def moved(row: Row, book: ImportBook) -> Draft:
    """Move a lot, or a part of it as a lot of its own."""
    return move.draft(
        lot=find_lot(row, book),
        quantity=row.quantity() if row.text("quantity") else None,
        to_lot=row.text("to_lot"),
        place=book.place_named(row.text("place")),
        **_when(row, book),
    )


def blended(row: Row, book: ImportBook) -> Draft:
    """Join a lot to another."""
    return blend.draft(
        lot=find_lot(row, book),
        to_lot=find_lot(row, book, "to_lot"),
        quantity=row.quantity() if row.text("quantity") else None,
        **_when(row, book),
    )


def left(row: Row, book: ImportBook) -> Draft:
    """use, give: plants leave at an expense."""
    return take_out.draft(
        kind=Operation.Kind(row.text("event")),
        lot=find_lot(row, book),
        quantity=row.quantity(),
        despite_holds=True,
        **_when(row, book),
    )


def _when(row, book):
    return {"on": row.date, "note": row.text("note"), "book": book}


def find_lot(row: Row, book: ImportBook, column: str = "lot") -> Lot:
    """Return the lot a row names, or raise RowError where there is none yet."""
    code = row.needed(column, "the code of a lot")
    lot = book.lot(code)
    if lot is None:
        raise row.error(
            column,
            f"there is no lot {code} by {row.date.isoformat()}; begin it in an earlier row "
            "or mend the code.",
        )
    return lot


def charge_lot(
    row: Row, book: ImportBook, last: Draft | None, category: str, amount: Decimal
) -> None:
    """Charge what an operation took to the lot its row names; where it names none, nothing.

    Raises RowError where no operation of that day stands before the row.
    """
    if not row.text("lot"):
        return
    lot = find_lot(row, book)
    if last is None:
        raise row.error(
            "lot",
            "no entry of this day stands before this row; put it behind the potting or the "
            "sticking that it was for, or leave the lot empty behind a cost.",
        )
    last.charge(lot, {category: amount})
    book.touched.add(lot.pk)


def _container(row: Row, book: ImportBook, *, needed: bool = False) -> Container | None:
    if not row.text("container") and not needed:
        return None
    return book.containers[row.choice("container", book.containers)]


def _cause(row: Row, book: ImportBook) -> LossCause | None:
    if not row.text("cause"):
        return None
    return book.causes[row.choice("cause", book.causes)]


GROWING: dict[str, Callable[[Row, ImportBook], Draft]] = {
    **dict.fromkeys(Batch.Kind.values, begun),
    "cost": cost,
    "root_count": rooted,
    "loss": lost,
    "pot_up": sized(potted_up),
    "count": counted,
    "move": sized(moved),
    "blend": sized(blended),
    "measure": measuring(moved),
    "use": left,
    "give": left,
}
