"""Book sales that were made without signal: the plants have left, so nothing is refused."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import UUID, uuid5

from django.utils import timezone

from inventory.models import Lot, Movement
from inventory.operations.lose import count
from inventory.operations.posting import ledger_held
from inventory.queries.closed import closed_to
from inventory.queries.on_hand import least_from, on_hand_by
from nursery.context import asked_once, current_currency
from nursery.money import format_money
from sales.errors import SaleRefused
from sales.models import Buyer, Document, FoundAtSale, StandDay
from sales.operations.choosing import Shelf
from sales.operations.sell import Item, document_of_request, refuse_no_plants, sell

# A clock that is a little off is every phone's; a sale older than this is a wrong clock's.
CLOCK_MAY_BE_OFF = timedelta(minutes=10)
OLDEST = timedelta(days=60)
FOUND_NOTE = "Sold at the stand without signal; the ledger had too few."
GIFT_NOTE = "At no charge."


@dataclass(frozen=True)
class SentSale:
    """A sale as a phone kept it: what was quoted stands.

    Each item has its price, and as `grade` that of the lot it was quoted from. `made_at` is when
    it was made by the phone's clock.
    """

    request_id: UUID
    items: tuple[Item, ...]
    grades: tuple[str, ...]
    made_at: datetime
    clock_off: timedelta = timedelta()
    buyer: Buyer | None = None
    paid_by: str = ""
    note: str = ""
    stand: StandDay | None = None


def book_sent(*, sale: SentSale, by=None) -> Document:
    """Book a sale made without signal and return its document; the same again does nothing.

    Plants come from the lot asked for, then from others of their plant, container and grade,
    those held for buyers last. What is still short is found by a count of a lot, at no cost,
    and stands on Today. A day that is closed or cannot be gives way to an open one, with a
    note. Raises SaleRefused only for no plants, and for those of which there never was a lot.
    """
    with ledger_held(), asked_once():
        done = document_of_request(sale.request_id)
        if done:
            return done
        refuse_no_plants(sale.items)
        on, words = day_of(sale.made_at, sale.clock_off)
        stand, closed = _stand_of(sale, on)
        items, found = _found_lots(sale, on, stand, by)
        notes = [sale.note, words, closed]
        if any(item.unit_price == 0 for item in items) and not sale.note.strip():
            notes.append(GIFT_NOTE)
        document = sell(
            items=items,
            on=on,
            request_id=sale.request_id,
            buyer=sale.buyer,
            paid_by=sale.paid_by,
            note=" ".join(filter(None, notes)),
            stand=stand,
            despite_holds=True,
            by=by,
        )
        FoundAtSale.objects.bulk_create(
            FoundAtSale(movement=movement, document=document) for movement in found
        )
        return document


def day_of(made_at: datetime, clock_off: timedelta = timedelta()) -> tuple[date, str]:
    """Return the day to book a sale on, and what to note where it is not the phone's day.

    `clock_off` is how far the phone's clock was from ours when it sent.
    """
    now = timezone.now()
    said = timezone.localtime(made_at)
    clock = f"{said.day} {said:%B %Y, %H:%M}"
    is_wrong = abs(clock_off) > CLOCK_MAY_BE_OFF
    if is_wrong or not now - OLDEST < made_at < now + CLOCK_MAY_BE_OFF:
        return timezone.localdate(), f"The phone's clock said {clock}."
    on = min(said.date(), timezone.localdate())
    closed = closed_to()
    if closed and on <= closed:
        return closed + timedelta(days=1), f"Sold {clock}, a day that is closed."
    return on, ""


def asked_words(document: Document, asked: Decimal | None) -> str:
    """Say that the phone asked for another total than the document has, or nothing."""
    if asked is None or asked == document.total:
        return ""
    return f"The phone asked for {format_money(asked, current_currency())}."


def _stand_of(sale, on) -> tuple[StandDay | None, str]:
    """Return the stand whose box has the money, or none and a note where it was closed since."""
    day = sale.stand
    if day is None or (day.date <= on and StandDay.objects.open().filter(pk=day.pk).exists()):
        return day, ""
    return None, f"Sold at {day.party}, closed since."


def _found_lots(sale, on, stand, by) -> tuple[list[Item], list[Movement]]:
    """Return the items each with its lot, and the movements that found what was missing."""
    shelf = Shelf({item.plant.pk for item in sale.items}, on, {}, stand)
    chosen, found = [], []
    for place, (item, grade) in enumerate(zip(sale.items, sale.grades, strict=True)):
        lots = _lots_of(item, grade)
        if not item.lot:
            lots.sort(key=lambda lot: lot.pk not in shelf.out)
        takes, missing = _taken(item, lots, shelf, on)
        if missing:
            lot = _missed_in(lots, on)
            found.append(_find(lot, missing, on, uuid5(sale.request_id, f"found {place}"), by))
            shelf.take_all(lot, missing)
            takes.append((lot, missing))
        chosen += [replace(item, lot=lot, quantity=number) for lot, number in _summed(takes)]
    return chosen, found


def _lots_of(item: Item, grade: str) -> list[Lot]:
    """Return the lots the plants of an item may have come from, the likeliest first."""
    lots = Lot.objects.filter(plant=item.plant, container=item.container)
    lots = lots.select_related("balance").order_by("began_on", "pk")
    alike = list(lots.filter(grade=grade)) or list(lots)
    for lot in alike:
        lot.plant, lot.container = item.plant, item.container
    if item.lot:
        alike = [item.lot, *(lot for lot in alike if lot != item.lot)]
    if not alike:
        raise SaleRefused(f"There never was a lot of {item.plant} in {item.container}.")
    return alike


def _taken(item, lots, shelf, on) -> tuple[list[tuple[Lot, int]], int]:
    """Return what the lots give, free plants first, and how many are missing then."""
    wanted, takes = item.quantity, []
    for despite_holds in (False, True):
        for lot in lots:
            if not wanted:
                return takes, 0
            there = least_from(lot.balance, on) - shelf.taken.get(lot.pk, 0)
            most = max(0, min(wanted, there))
            if despite_holds:
                shelf.take_all(lot, most)
                number = most
            else:
                number = shelf.take(lot, most)
            wanted -= number
            takes += [(lot, number)] if number else []
    return takes, wanted


def _missed_in(lots, on) -> Lot:
    """Return the lot that most likely held the missing plants: the first that had begun."""
    return next((lot for lot in lots if lot.began_on <= on), lots[0])


def _find(lot, missing, on, request_id, by) -> Movement:
    """Count a lot as holding the plants that were sold beyond it."""
    held = on_hand_by(lot.balance, on)
    operation = count(
        lot=lot, found=held + missing, on=on, note=FOUND_NOTE, request_id=request_id, by=by
    )
    lot.balance.refresh_from_db()
    return operation.movements.get(kind=Movement.Kind.FOUND)


def _summed(takes: Iterable[tuple[Lot, int]]) -> list[tuple[Lot, int]]:
    numbers: dict[Lot, int] = {}
    for lot, number in takes:
        numbers[lot] = numbers.get(lot, 0) + number
    return list(numbers.items())
