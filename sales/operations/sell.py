"""Sell plants: they leave their lots, a document is issued, money may come in."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID, uuid5

from inventory.models import Container, Lot, Nursery, Operation, Plant
from inventory.operations.book import BOOK
from inventory.operations.leave import draft_sale
from inventory.operations.posting import ledger_held, post
from nursery.money import round_to_currency
from sales.errors import SaleRefused
from sales.models import Buyer, Document
from sales.operations.account import paid_at_once
from sales.operations.documents import issue_sale, lot_lines
from sales.queries.prices import price_of


@dataclass(frozen=True)
class Item:
    """Plants asked for: of one lot, or of whichever ready lots are oldest.

    With no `unit_price` (before tax) the list price of the day applies.
    """

    plant: Plant
    container: Container
    quantity: int
    lot: Lot | None = None
    unit_price: Decimal | None = None


def sell(
    *,
    items: Iterable[Item],
    on: date,
    request_id: UUID,
    buyer: Buyer | None = None,
    paid_by: str = "",
    note: str = "",
    by=None,
) -> Document:
    """Sell plants to a buyer, or to a walk-in, and return the issued document.

    With `paid_by` (one of Payment.MONEY) the whole total is paid at once, in cash as cash
    can pay it; with "account" as far as the buyer's account goes. Raises SaleRefused for
    no plants or no price, NotEnoughPlants where lots run short.
    """
    with ledger_held():
        done = document_of_request(request_id)
        if done:
            return done
        wanted = [(item, *_price(item, on)) for item in items]
        if not wanted:
            raise SaleRefused("Choose at least one plant to sell.", field="quantity")
        takes = [
            (lot, quantity, price, reason)
            for item, price, reason in wanted
            for lot, quantity in _lots_for(item, on)
        ]
        draft = draft_sale([(lot, quantity) for lot, quantity, _, _ in takes], on, note)
        post(draft, request_id=request_id, by=by)
        lines = lot_lines(
            (movement, lot, price, reason)
            for movement, (lot, _, price, reason) in zip(draft.movements, takes, strict=True)
        )
        document = issue_sale(lines, on=on, buyer=buyer, note=note)
        if paid_by and document.total:
            paid_at_once(document, paid_by, uuid5(request_id, "payment"))
        return document


def document_of_request(request_id: UUID) -> Document | None:
    """Return the document an earlier try of this request issued."""
    # Nearly always there is none, and the operation alone tells.
    if not Operation.objects.filter(request_id=request_id).exists():
        return None
    return Document.objects.filter(lines__takes__movement__operation__request_id=request_id).first()


def whole_in_currency(price: Decimal, currency: str = "") -> Decimal:
    """Return a price that the nursery's currency can pay, or raise SaleRefused."""
    currency = currency or Nursery.current().currency
    if price < 0:
        raise SaleRefused("A price cannot be less than nothing.", field="price")
    if price != round_to_currency(price, currency):
        raise SaleRefused(
            f"{price} cannot be paid in {currency}: "
            f"{round_to_currency(price, currency)} would be right.",
            field="price",
        )
    return price


def _price(item, on):
    if item.quantity < 1:
        raise SaleRefused(f"{item.plant}: sell at least one.", field="quantity")
    if item.unit_price is not None:
        return whole_in_currency(item.unit_price), "asked at the sale"
    price = price_of(item.plant, item.container, on)
    if price is None:
        raise SaleRefused(
            f"{item.plant} in {item.container} has no price yet. Enter one here, or in "
            "the price list.",
            field="price",
        )
    return price, "price list"


def _lots_for(item, on):
    """Yield (lot, quantity) from the lot given, else from the oldest ready lots."""
    if item.lot:
        yield item.lot, item.quantity
        return
    wanted = item.quantity
    for lot in ready_lots(item.plant, item.container):
        if not wanted:
            break
        quantity = min(wanted, BOOK.on_hand(lot, on))
        if quantity:
            wanted -= quantity
            yield lot, quantity
    if wanted:
        raise SaleRefused(
            f"{item.quantity - wanted} of {item.plant} in {item.container} are free; "
            f"{item.quantity} cannot be sold. Sell fewer, or count the lots first.",
            field="quantity",
        )


def ready_lots(plant: Plant, container: Container):
    """Return the lots of a plant and container that hold plants, oldest first."""
    standing = Lot.objects.filter(plant=plant, container=container, balance__on_hand__gt=0)
    return standing.select_related("plant", "container").order_by("began_on", "pk")
