"""The lots a person meets on a walk, with what they held on a day."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, Sum

from inventory.models import Container, Lot, LotBalance, Movement, Place

LONGEST_SHEET = 120


@dataclass(frozen=True)
class SheetRow:
    """One lot of a sheet."""

    lot: Lot
    place: Place | None
    on_hand: int


def sheet_rows(
    on: date,
    *,
    place: Place | None = None,
    container: Container | None = None,
    lot: int | None = None,
) -> list[SheetRow]:
    """Return the lots that held plants at the end of that day, in the order of a walk.

    A place includes its parts. Where the lot stands is where it stands now.
    """
    with_plants = Q(on_hand__gt=0) | Q(last_on__gt=on)
    rows = _rows(on, _where(place, container, lot) & with_plants)
    return [row for row in rows if row.on_hand > 0]


def sheet_rows_of(on: date, lots: Collection[int]) -> list[SheetRow]:
    """Return these lots, also those that hold nothing any more, in the order of a walk."""
    return _rows(on, Q(pk__in=lots))


def _rows(on, where):
    balances = LotBalance.objects.select_related("lot__plant", "lot__container", "place")
    in_order = ("place__name", "lot__plant__search_key", "lot__code")
    balances = list(balances.filter(where).order_by(*in_order))
    changed = _changed_since(on, [row.pk for row in balances if row.last_on and row.last_on > on])
    return [SheetRow(b.lot, b.place, b.on_hand - changed.get(b.pk, 0)) for b in balances]


def _where(place, container, lot):
    where = Q()
    if place:
        where &= Q(place=place) | Q(place__parent=place)
    if container:
        where &= Q(lot__container=container)
    if lot:
        where &= Q(lot=lot)
    return where


def _changed_since(on, lots):
    """Return {lot: plants that came after that day, less those that left}."""
    changed = dict.fromkeys(lots, 0)
    if not lots:
        return changed
    for end, sign in (("to_lot", 1), ("from_lot", -1)):
        later = Movement.objects.filter(date__gt=on, **{f"{end}__in": lots})
        sums = later.order_by().values_list(end).annotate(Sum("quantity"))
        for lot, plants in sums:
            changed[lot] += sign * plants
    return changed
