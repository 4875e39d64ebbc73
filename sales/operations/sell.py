"""Sell plants: they leave their lots, a document is issued, money may come in."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID, uuid5

from inventory.models import Container, Lot, Operation, Plant
from inventory.operations.leave import draft_sale
from inventory.operations.posting import ledger_held, post
from nursery.context import asked_once
from sales.errors import SaleRefused
from sales.models import Buyer, Document, HandedOver, HoldLine, StandDay
from sales.operations.account import paid_at_once
from sales.operations.at_stand import note_sale_at_stand, refuse_no_stand
from sales.operations.choosing import lots_of_items
from sales.operations.documents import issue_sale, lot_lines
from sales.operations.price import whole_in_currency
from sales.queries.prices import Quote, SalePrices

NOTHING = Decimal(0)


@dataclass(frozen=True)
class Item:
    """Plants asked for: of one lot, or of whichever ready lots are oldest.

    With no `unit_price` (before tax) the list price applies: the buyer's, of the day, for the
    lot's grade and the number bought. Plants `of_hold` are handed over from that line.
    `price_reason` says why a price that was quoted before applies.
    """

    plant: Plant
    container: Container
    quantity: int
    lot: Lot | None = None
    unit_price: Decimal | None = None
    of_hold: HoldLine | None = None
    price_reason: str = ""


def sell(
    *,
    items: Iterable[Item],
    on: date,
    request_id: UUID,
    buyer: Buyer | None = None,
    paid_by: str = "",
    note: str = "",
    deposit: Decimal = NOTHING,
    stand: StandDay | None = None,
    despite_holds: bool = False,
    by=None,
) -> Document:
    """Sell plants to a buyer, or to a walk-in, and return the issued document.

    First that much of a `deposit` on the buyer's account pays. With `paid_by` (one of
    Payment.MONEY) the rest is paid at once, in cash as cash can pay it; with "account" as
    far as the account goes beside the deposits of holds. A sale at a `stand` takes what is
    out there first, and its money goes through that box. Lots given are sold `despite_holds`
    where they left already. Raises SaleRefused for no plants or price, plants held for
    another, nothing asked without a note; NotEnoughPlants where lots run short.
    """
    with ledger_held(), asked_once():
        done = document_of_request(request_id)
        if done:
            return done
        refuse_no_stand(stand, on)
        takes = _takes(items, on, stand, despite_holds)
        buyer = buyer and buyer.kept
        prices = _prices(takes, on, buyer)
        _refuse_unexplained_gift(takes, prices, note)
        draft = draft_sale([(lot, quantity) for _, lot, quantity in takes], on, note)
        post(draft, request_id=request_id, by=by)
        _hand_over(draft.movements, takes)
        lines = _lines(draft.movements, takes, prices)
        document = issue_sale(lines, on=on, buyer=buyer, note=note)
        payment = paid_at_once(document, paid_by, uuid5(request_id, "payment"), deposit)
        if stand:
            note_sale_at_stand(stand, document, payment)
        return document


def document_of_request(request_id: UUID) -> Document | None:
    """Return the document an earlier try of this request issued."""
    # Nearly always there is none, and the operation alone tells.
    if not Operation.objects.filter(request_id=request_id).exists():
        return None
    return Document.objects.filter(lines__takes__movement__operation__request_id=request_id).first()


def refuse_no_plants(items: Collection[Item]) -> None:
    """Raise SaleRefused where nothing is sold, or fewer than one of something."""
    if not items:
        raise SaleRefused("Choose at least one plant to sell.", field="quantity")
    for item in items:
        if item.quantity < 1:
            raise SaleRefused(f"{item.plant}: sell at least one.", field="quantity")


def _takes(items, on, stand, despite_holds):
    """Return (item, lot, quantity) for the plants of each lot that the items take."""
    items = list(items)
    refuse_no_plants(items)
    lots_of = lots_of_items(items, on, stand, despite_holds=despite_holds)
    chosen = zip(items, lots_of, strict=True)
    return [(item, lot, quantity) for item, lots in chosen for lot, quantity in lots]


def _lines(movements, takes, prices):
    """Return the lines of the document."""
    return lot_lines(
        (movement, lot, price.amount, price.reason, None)
        for movement, (_, lot, _), price in zip(movements, takes, prices, strict=True)
    )


def _hand_over(movements, takes):
    """Note which movements hand over plants of a hold."""
    HandedOver.objects.bulk_create(
        HandedOver(line=item.of_hold, movement=movement)
        for movement, (item, _, _) in zip(movements, takes, strict=True)
        if item.of_hold
    )


def _prices(takes, on, buyer):
    """Return the price of each take: the one asked for, else the list's for this sale."""
    numbers: dict[tuple[int, int], int] = defaultdict(int)
    for item, _, quantity in takes:
        numbers[item.plant.pk, item.container.pk] += quantity
    prices = SalePrices(numbers, on=on, buyer=buyer)
    return [_price(item, lot, prices) for item, lot, _ in takes]


def _price(item, lot, prices):
    if item.unit_price is not None:
        return Quote(
            whole_in_currency(item.unit_price),
            item.price_reason or ("agreed ahead" if item.of_hold else "asked at the sale"),
        )
    quote = prices.quote(item.plant.pk, item.container.pk, lot.grade)
    if quote is None:
        raise SaleRefused(
            f"{item.plant} in {item.container} has no price yet. Enter one here, or in "
            "the price list.",
            field="price",
        )
    return quote


def _refuse_unexplained_gift(takes, prices, note):
    """Ask why, where plants go for nothing: a price left at 0 is as often a slip."""
    for (item, _, _), price in zip(takes, prices, strict=True):
        if price.amount == 0 and not note.strip():
            raise SaleRefused(
                f"{item.plant} in {item.container} goes for nothing. Write in the note why, "
                "as “for the school's fair”, or enter a price.",
                field="note",
            )
