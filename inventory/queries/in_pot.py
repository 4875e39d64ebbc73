"""Since when plants are in their container."""

from collections.abc import Iterable, Iterator
from datetime import date
from typing import NamedTuple

from django.db.models import Case, F, Min, When
from django.db.models.functions import Coalesce

from inventory.models import Movement
from inventory.queries.ledger_rows import parts
from inventory.queries.on_hand import in_force


class _Came(NamedTuple):
    """How a lot's plants first came: since when they stand so, and from what like pot."""

    since: date
    earlier: int | None


def in_pot_since(lots: Iterable[int]) -> dict[int, date]:
    """Return {lot: since when its plants are in their container}.

    Plants that only moved, were parted or measured are as long in it as where they came from;
    opening stock since the day it was said to be potted.
    """
    lots = list(lots)
    came: dict[int, _Came] = {}
    asked = set(lots)
    while asked:
        found = {lot: row for chunk in parts(asked) for lot, row in _first_in(chunk)}
        came |= found
        asked = {row.earlier for row in found.values() if row.earlier} - came.keys()
    return {lot: _since(came[lot], came) for lot in lots if lot in came}


def _first_in(lots: list[int]) -> Iterator[tuple[int, _Came]]:
    rows = in_force(Movement.objects.filter(to_lot__in=lots)).order_by()
    first = rows.values("to_lot").annotate(first=Min("pk")).values("first")
    potted = Coalesce("to_lot__transplanted_on", "to_lot__began_on")
    found = Movement.objects.filter(pk__in=first).values_list(
        "to_lot",
        Case(When(from_lot=None, then=potted), default="date"),
        Case(When(from_lot__container=F("to_lot__container"), then="from_lot")),
    )
    for lot, since, earlier in found:
        yield lot, _Came(since, earlier)


def _since(row: _Came, came: dict[int, _Came]) -> date:
    while row.earlier in came:
        row = came[row.earlier]
    return row.since
