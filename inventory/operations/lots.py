"""Find the lot plants go into, or start it."""

from datetime import date

from inventory.errors import LotMismatch
from inventory.models import Container, Lot, Place, Plant
from inventory.operations.book import Book
from inventory.operations.posting import Draft


def receiving_lot(
    code: str,
    *,
    plant: Plant,
    container: Container | None,
    began_on: date,
    transplanted_on: date | None,
    ready_on: date | None = None,
    grade: str = "",
    book: Book,
) -> Lot:
    """Return the lot of that code for plants of one kind, starting it where new.

    A code that nothing in force uses may be given a new meaning. Raises
    LotMismatch where the lot holds another plant or container.
    """
    lot = book.lot(code)
    if lot is None or book.is_unused(lot):
        if container is None:
            raise LotMismatch(
                f"Lot {code} is new: say which container its plants stand in.",
                field="container",
            )
        lot = lot or Lot(code=code)
        lot.plant, lot.container = plant, container
        lot.began_on, lot.transplanted_on = began_on, transplanted_on
        lot.ready_on, lot.grade = ready_on, grade
        book.save_lot(lot)
        return lot
    if lot.plant_id != plant.pk:
        raise LotMismatch(f"Lot {code} is {lot.plant}, not {plant}. Choose another lot code.")
    if container is not None and lot.container_id != container.pk:
        raise LotMismatch(
            f"Lot {code} stands in {lot.container}, not {container}. "
            "Choose another lot code, or that container."
        )
    return lot


def grown_into(
    code: str,
    source: Lot,
    container: Container | None,
    transplanted_on: date | None,
    book: Book,
    grade: str = "",
) -> Lot:
    """Return the lot that plants of `source` join; a new one keeps the days of the source."""
    return receiving_lot(
        code,
        plant=source.plant,
        container=container,
        began_on=source.began_on,
        transplanted_on=transplanted_on,
        ready_on=source.ready_on,
        grade=grade,
        book=book,
    )


def stand_where_they_stood(
    draft: Draft, target: Lot, place: Place | None, source: Lot, book: Book
) -> None:
    """Place a lot as told; a new one otherwise stands where its plants stood."""
    if place is None and book.is_unused(target):
        place = book.place(source, draft.date)
    draft.stand(target, place)
