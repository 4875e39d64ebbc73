"""Measure plants: a lot parts into lots by height, or by spread."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from functools import reduce
from itertools import combinations

from inventory.errors import LedgerError, LotMismatch, NotEnoughPlants
from inventory.held import short_without, short_words
from inventory.models import Lot, Measurement, Movement, Operation
from inventory.operations.book import BOOK, Book
from inventory.operations.lots import grown_into, stand_where_they_stood
from inventory.operations.posting import Draft, writes_ledger
from inventory.sizes import Size


@dataclass(frozen=True)
class Measured:
    """Plants of a lot that are of one size: they become the lot `to_lot`, or stay, if empty."""

    size: Size
    quantity: int
    to_lot: str = ""


@writes_ledger
def measure_lot(
    *,
    lot: Lot,
    sizes: Collection[Measured],
    on: date,
    note: str = "",
    despite_holds: bool = False,
    book: Book = BOOK,
) -> Draft:
    """Part a lot by the sizes measured; plants that are not measured stay in it.

    Of one size the plants may stay in the lot, if none unmeasured stay with them. The others
    take their share of the cost into new lots, with grade, place and days. Raises LedgerError
    where sizes overlap, a lot is named twice, or plants promised out of this very lot would
    go, unless it is meant `despite_holds`.
    """
    held = book.on_hand(lot, on)
    refuse_sizes([one.size for one in sizes])
    _refuse_numbers(lot, sizes, held, on)
    _refuse_lots(sizes, book)
    if not despite_holds:
        _refuse_promised(lot, sum(one.quantity for one in sizes if one.to_lot))
    draft = Draft.of(Operation.Kind.MEASURE, on, note)
    for one in sizes:
        target = lot
        if one.to_lot:
            kept = (lot.container, lot.transplanted_on, book, lot.grade)
            target = grown_into(one.to_lot, lot, *kept)
            draft.move(Movement.Kind.MOVED, one.quantity, from_lot=lot, to_lot=target)
            stand_where_they_stood(draft, target, None, lot, book)
        draft.measure(target, one.size)
    return draft


def refuse_sizes(sizes: Collection[Size]) -> None:
    """Raise LedgerError where there are none, one is no range, or a plant could be in two."""
    if not sizes:
        raise LedgerError("Enter how many plants are of which size.")
    if not all(0 < size.lower_mm < size.upper_mm for size in sizes):
        raise LedgerError("A size goes from a smaller figure to a larger one, as 18 to 24.")
    if any(size.overlaps(other) for size, other in combinations(sizes, 2)):
        raise LedgerError(
            "Two of the sizes overlap, so a plant could be in both. Let each begin where "
            "the one before ends, such as 12 to 18 and 18 to 24."
        )


def join_sizes(draft: Draft, target: Lot, coming: Measurement | None, book: Book) -> None:
    """Say which size holds for all plants of a lot once others, measured or not, join it.

    Measured plants that join measured ones make one range of both; with plants that nobody
    measured no size holds for all.
    """
    there = book.measurement(target, draft.date)
    measured = [row for row in (there, coming) if row and row.size]
    if not measured:
        return
    if not book.on_hand(target, draft.date):
        measured = [coming] if coming and coming.size else []
    elif len(measured) == 1:
        measured = []
    size = reduce(Size.spanning, (row.size for row in measured)) if measured else None
    if size != (there.size if there else None):
        draft.measure(target, size, min((row.measured_on for row in measured), default=None))


def _refuse_numbers(lot, sizes, held, on):
    if any(one.quantity < 1 for one in sizes):
        raise LedgerError("Measure at least one plant of a size, or leave the size away.")
    wanted = sum(one.quantity for one in sizes)
    if wanted > held:
        raise NotEnoughPlants(lot.code, held=held, wanted=wanted, on=on)
    staying = [one for one in sizes if not one.to_lot]
    if len(staying) > 1 or (staying and wanted < held):
        raise LedgerError(
            f"Plants of one size stay in lot {lot} only by themselves. Name a lot for the others."
        )


def _refuse_lots(sizes, book):
    codes = [one.to_lot for one in sizes if one.to_lot]
    if len(set(codes)) < len(codes):
        raise LotMismatch("Two sizes would go into one lot. Give each a code of its own.")
    for code in codes:
        if (there := book.lot(code)) and not book.is_unused(there):
            raise LotMismatch(f"Lot {code} is in use. Choose a code that no lot has.")


def _refuse_promised(lot, leaving):
    if missing := short_words(short_without({lot.pk: leaving}, parted=True)):
        raise LedgerError(
            f"{missing} They are promised out of lot {lot}: leave so many in it unmeasured, "
            "or change what is promised first."
        )
