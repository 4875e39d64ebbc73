"""Trace: a document or lot back to its batches, a batch or lot forward to its buyers."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Exists, F, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Coalesce

from inventory.models import Batch, Lot, LotBalance, Movement
from inventory.queries.lineage import (
    lots_ahead,
    shares_of_lots,
    shares_of_movements,
    touched_by,
)
from sales.models import Document, Take


@dataclass(frozen=True)
class TraceRow:
    """Plants of one lot, on a document or on hand, and a batch's share of them."""

    direction: str
    batch: str
    lot: str
    document: str | None
    buyer: str | None
    quantity: int
    share: Fraction


def trace_document(document: Document) -> list[TraceRow]:
    """Return the batches behind each lot on a document."""
    return _sold_rows("back", Q(line__document=document))


def trace_lot(lot: Lot) -> list[TraceRow]:
    """Return the batches behind a lot, and every document and lot its plants reached."""
    shares = shares_of_lots({lot.pk})[lot.pk]
    ahead = lots_ahead({lot.pk})
    touched = touched_by(lot.pk, ahead)
    return [
        *_standing_rows("back", {lot.pk}),
        *_standing_rows("forward", touched.lots - {lot.pk}, shares, only_held=True),
        *_sold_rows("forward", Q(movement__in=touched.movements), shares),
    ]


def trace_batch(batch: Batch) -> list[TraceRow]:
    """Return every lot and document that holds plants of a batch."""
    first = Movement.objects.filter(batch=batch, carried__isnull=False)
    ahead = lots_ahead(set(first.values_list("to_lot", flat=True)))
    return [
        *_standing_rows("forward", ahead, {batch.pk}, only_held=True),
        *_sold_rows("forward", Q(movement__from_lot__in=ahead), {batch.pk}),
    ]


def _standing_rows(direction, lots, batches=None, only_held=False):
    """Return rows for plants on hand in `lots`, of the batches asked for."""
    balances = LotBalance.objects.filter(pk__in=lots).select_related("lot")
    if only_held:
        balances = balances.filter(on_hand__gt=0)
    shares = shares_of_lots(set(lots))
    codes = _codes(shares.values())
    return [
        TraceRow(direction, codes[batch], row.lot.code, None, None, row.on_hand, share)
        for row in balances.order_by("lot__code")
        for batch, share in sorted(shares[row.pk].items())
        if batches is None or batch in batches
    ]


def _sold_rows(direction, which, batches: Collection[int] | None = None):
    """Return rows for plants sold and not come back, one per document, lot and batch."""
    takes = _takes(which)
    shares = shares_of_movements((take.movement_id, take.lot) for take in takes)
    plants: dict[tuple, int] = defaultdict(int)
    parts: dict[tuple, Fraction] = defaultdict(Fraction)
    for take in takes:
        place = (take.number, take.code, take.buyer)
        plants[place] += take.still_out
        for batch, share in shares[take.movement_id].items():
            parts[*place, batch] += share * take.still_out
    codes = _codes(shares.values())
    return [
        TraceRow(
            direction,
            codes[batch],
            code,
            number,
            buyer,
            plants[number, code, buyer],
            part / plants[number, code, buyer],
        )
        for (number, code, buyer, batch), part in parts.items()
        if batches is None or batch in batches
    ]


def _takes(which):
    """Return takes in force with the plants still with the buyer, where there are any."""
    returned = (
        Movement.objects.filter(
            of=OuterRef("movement"), kind=Movement.Kind.RETURNED, carried__isnull=False
        )
        .order_by()
        .values("of")
        .annotate(n=Sum("quantity"))
        .values("n")
    )
    return (
        Take.objects.filter(which, movement__kind=Movement.Kind.SOLD)
        .filter(Exists(Movement.objects.filter(pk=OuterRef("movement"), carried__isnull=False)))
        .annotate(
            lot=F("movement__from_lot"),
            code=F("movement__from_lot__code"),
            number=F("line__document__number"),
            buyer=F("line__document__buyer__name"),
            still_out=F("movement__quantity") - Coalesce(Subquery(returned), 0),
        )
        .filter(still_out__gt=0)
        .order_by("movement__date", "movement__operation", "movement")
    )


def _codes(shares):
    """Return {batch: code} of the batches in several lots' shares."""
    batches = {batch for parts in shares for batch in parts}
    return {key: batch.code for key, batch in Batch.objects.only("code").in_bulk(batches).items()}
