"""Begin a batch: stick, sow, divide, receive liners, or enter opening stock."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.errors import LedgerError
from inventory.models import Batch, Container, Movement, Place, Plant, StockPlant
from inventory.operations.book import BOOK, Book
from inventory.operations.lots import receiving_lot
from inventory.operations.posting import Draft, writes_ledger
from inventory.operations.spending import Use, Work, spend
from inventory.treatment import Treatment


@dataclass(frozen=True)
class Before:
    """What plants were before the ledger knew them: since when, and potted when."""

    began_on: date
    transplanted_on: date | None = None


@writes_ledger
def begin(
    *,
    kind: str,
    batch: str,
    lot: str,
    plant: Plant,
    container: Container,
    quantity: int,
    on: date,
    place: Place | None = None,
    costs: Mapping[str, Decimal] | None = None,
    uses: Iterable[Use | Work] = (),
    stock_plant: StockPlant | None = None,
    treatment: str = "",
    how: Treatment | None = None,
    before: Before | None = None,
    note: str = "",
    book: Book = BOOK,
) -> Draft:
    """Begin a batch, or a further lot of it, with `quantity` plants in `lot`.

    `kind` is one of Batch.Kind; `treatment` says in a line how they were treated, else it is
    written from `how`; `before` tells of plants older than their entry. A lot
    that stands already receives the plants where it holds the same plant in the same
    container; else LotMismatch.
    """
    if quantity < 1:
        raise LedgerError("Begin with at least one plant.", field="quantity")
    before = before or Before(on)
    target = receiving_lot(lot, plant=plant, container=container, **vars(before), book=book)
    draft = Draft.of(kind, on, note)
    how = how or Treatment()
    facts = {"stock_plant": stock_plant, **vars(how), "treatment": treatment or how.in_words}
    started = _batch(batch, kind, plant, before.began_on, facts, book)
    draft.move(Movement.Kind.BEGUN, quantity, to_lot=target, batch=started)
    draft.charge(target, costs)
    spend(draft, target, uses)
    draft.stand(target, place)
    return draft


def _batch(code, kind, plant, on, facts, book):
    """Return the batch of that code, starting it, or starting it anew where undone."""
    batch = Batch.objects.filter(code=code).first() or Batch(code=code)
    in_use = batch.pk and book.has_begun(batch)
    if in_use and (batch.plant_id != plant.pk or batch.kind != kind):
        raise LedgerError(
            f"Batch {code} is {batch.plant}, {batch.get_kind_display()}. "
            "Choose another batch code.",
            field="batch",
        )
    if not in_use:
        batch.plant, batch.kind, batch.started_on = plant, kind, on
        for name, value in facts.items():
            setattr(batch, name, value)
        batch.save()
    return batch
