"""How many plants are where, today or at the end of any day."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from inventory.models import Lot, LotBalance, Measurement, Movement, Operation, Placement
from inventory.queries.ledger_rows import parts


def in_force(rows: QuerySet) -> QuerySet:
    """Return the ledger rows that are neither undone nor the undoing itself.

    The undoing is told by its kind: "reverses nothing" would lead SQLite to read
    the index of every operation there is, instead of the few rows of a lot. Undone by none
    is told by the column of the join: only so does PostgreSQL know how many are left.
    """
    undoing = Operation.Kind.UNDO
    return rows.filter(operation__reversed_by__reverses=None).exclude(operation__kind=undoing)


def on_hand_on(lot: Lot, on: date) -> int:
    """Return the plants in `lot` at the end of the day `on`."""
    return on_hand_by(LotBalance.objects.only("on_hand", "last_on").get(lot=lot), on)


def on_hand_by(balance: LotBalance, on: date) -> int:
    """Return the plants at the end of the day `on` in the lot of that balance, just read."""
    if balance.last_on is None or balance.last_on <= on:
        return balance.on_hand
    later = Movement.objects.filter(date__gt=on)
    came, left = later.filter(to_lot=balance.lot_id), later.filter(from_lot=balance.lot_id)
    return balance.on_hand - plants_in(came) + plants_in(left)


def least_from(balance: LotBalance, on: date) -> int:
    """Return the fewest plants the lot holds from the end of the day `on` until now.

    So many can still leave it on that day.
    """
    least = on_hand = on_hand_by(balance, on)
    if balance.last_on is None or balance.last_on <= on:
        return least
    later = movements_of(balance.lot_id).filter(date__gt=on).order_by("date")
    days: dict[date, int] = {}
    for day, to_lot, quantity in later.values_list("date", "to_lot", "quantity"):
        days[day] = days.get(day, 0) + (quantity if to_lot == balance.lot_id else -quantity)
    for change in days.values():
        on_hand += change
        least = min(least, on_hand)
    return least


def plants_in(movements: QuerySet) -> int:
    """Return the plants that `movements` moved in all."""
    return movements.aggregate(n=Coalesce(Sum("quantity"), 0))["n"]


def still_out(sale: Movement) -> int:
    """Return how many plants of a sale have not come back."""
    back = Movement.objects.filter(of=sale, kind=Movement.Kind.RETURNED)
    return sale.quantity - plants_in(in_force(back))


def place_on(lot: Lot, on: date | None = None):
    """Return where `lot` stood at the end of the day `on`, or stands now."""
    placements = in_force(Placement.objects.filter(lot=lot)).select_related("place")
    if on is not None:
        placements = placements.filter(date__lte=on)
    last = placements.order_by("-date", "-operation_id", "-id").first()
    return last.place if last else None


def places_now(lots: Iterable[int]) -> dict[int, int | None]:
    """Return {lot: the place it stands at now}, None where it was never said."""
    found: dict[int, int | None] = {}
    for chunk in parts(lots):
        found |= dict.fromkeys(chunk)
        placed = in_force(Placement.objects.filter(lot__in=chunk))
        in_order = placed.order_by("date", "operation_id", "id")
        found |= dict(in_order.values_list("lot", "place"))
    return found


def measurement_on(lot: Lot, on: date) -> Measurement | None:
    """Return the measurement that holds for `lot` at the end of the day `on`, if any does."""
    made = in_force(Measurement.objects.filter(lot=lot, date__lte=on))
    return made.order_by("date", "operation_id", "id").last()


def sizes_now(lots: Iterable[int]) -> dict[int, int | None]:
    """Return {lot: the measurement that holds for it now}, None where none was made."""
    found: dict[int, int | None] = {}
    for chunk in parts(lots):
        found |= dict.fromkeys(chunk)
        measured = in_force(Measurement.objects.filter(lot__in=chunk))
        in_order = measured.order_by("date", "operation_id", "id")
        found |= dict(in_order.values_list("lot", "pk"))
    return found


def movements_of(lot: Lot | int) -> QuerySet:
    """Return every movement in or out of `lot`, undone ones included."""
    return Movement.objects.filter(Q(from_lot=lot) | Q(to_lot=lot))


def is_unused(lot: Lot) -> bool:
    """Say whether nothing in force has touched `lot`."""
    return not in_force(movements_of(lot)).exists()
