"""Prove that what is kept beside the ledger equals a replay from nothing."""

from collections.abc import Iterator
from itertools import zip_longest

from django.db import connection
from django.db.models import F, Max, Sum

from inventory.costing.categories import CATEGORIES
from inventory.costing.replay import EMPTY, Overdrawn, replay
from inventory.models import (
    CostEntry,
    Count,
    Lot,
    LotBalance,
    Measurement,
    Movement,
    Placement,
    UncarriedCost,
)
from inventory.models.kept import COST_FIELDS
from inventory.queries.ledger_rows import CARRIED_COLUMNS, all_rows, given_back_movements
from inventory.queries.on_hand import in_force, place_on, sizes_now
from nursery.money import from_millionths, to_millionths

KEPT = f"""
SELECT m.id, c.on_hand_after, m.quantity, {CARRIED_COLUMNS}
FROM inventory_carried c JOIN inventory_movement m ON m.id = c.movement_id
ORDER BY m.date, m.operation_id, m.id
"""
PARTS = ("on hand", *CATEGORIES)


def differences() -> Iterator[str]:
    """Yield, in words, each thing that does not agree with the ledger. None is right."""
    yield from _misdated_rows()
    yield from _too_many_back()
    lots = dict.fromkeys(Lot.objects.values_list("pk", flat=True), EMPTY)
    results = replay(all_rows(), lots, watched=given_back_movements())
    uncarried = set()
    try:
        yield from _carried_differences(results, uncarried)
    except Overdrawn as error:
        code = Lot.objects.get(pk=error.lot).code
        yield f"Lot {code} held {error.held} on {error.on}, but {error.wanted} left it."
        return
    if uncarried != set(UncarriedCost.objects.values_list("pk", flat=True)):
        yield "The list of costs that no plant carries differs from a replay."
    yield from _balance_differences(lots)
    yield from _last_date_differences()
    yield from _place_differences()
    yield from _size_differences()


def _misdated_rows():
    for model in (Movement, CostEntry, Placement, Count, Measurement):
        wrong = model.objects.exclude(date=F("operation__date")).first()
        if wrong:
            yield f"{model._meta.verbose_name} {wrong.pk} does not bear its operation's date."


def _too_many_back():
    returned = in_force(Movement.objects.filter(kind=Movement.Kind.RETURNED)).order_by()
    of_sales = returned.values("of", "of__quantity", "of__date", "of__from_lot__code")
    for row in of_sales.annotate(back=Sum("quantity")).filter(back__gt=F("of__quantity")):
        yield (
            f"Lot {row['of__from_lot__code']}: of {row['of__quantity']} plants sold on "
            f"{row['of__date'].isoformat()} {row['back']} came back."
        )


def _carried_differences(results, uncarried):
    for made, kept in zip_longest(_movements_only(results, uncarried), _kept_rows()):
        if made != kept:
            key = (made or kept)[0]
            movement = Movement.objects.select_related("from_lot", "to_lot").get(pk=key)
            lot = movement.from_lot or movement.to_lot
            yield (
                f"Lot {lot.code}: movement {key} on {movement.date.isoformat()} is kept "
                "with other figures than a replay gives."
            )
            # From the first difference on, the two lists may be out of step.
            for _ in results:
                pass
            return


def _movements_only(results, uncarried):
    for key, carried, after in results:
        if carried is not None:
            yield (key, after, carried)
        elif after:
            uncarried.add(key)


def _kept_rows():
    with connection.chunked_cursor() as cursor:
        cursor.execute(KEPT)
        while rows := cursor.fetchmany(10_000):
            for key, after, *carried in rows:
                yield (key, after, carried)


def _balance_differences(lots):
    columns = ("lot_id", "lot__code", "on_hand", *COST_FIELDS)
    kept_lots = set()
    for lot, code, on_hand, *costs in LotBalance.objects.values_list(*columns):
        kept_lots.add(lot)
        kept = [on_hand, *map(to_millionths, costs)]
        for part, ours, replayed in zip(PARTS, kept, lots[lot], strict=True):
            if ours != replayed:
                yield _worded(code, part, ours, replayed)
    for code in Lot.objects.exclude(pk__in=kept_lots).values_list("code", flat=True):
        yield f"Lot {code} has no balance row."


def _worded(code, part, kept, replayed):
    if part != "on hand":
        kept, replayed = from_millionths(kept), from_millionths(replayed)
    return f"Lot {code}: {part} is kept as {kept}; a replay of the ledger gives {replayed}."


def _last_date_differences():
    """A last date kept too early would keep a backdated entry from what follows it."""
    last: dict = {}
    for model, lot in ((Movement, "from_lot"), (Movement, "to_lot"), (CostEntry, "lot")):
        dates = model.objects.exclude(**{lot: None}).order_by().values_list(lot)
        for key, on in dates.annotate(last=Max("date")):
            last[key] = max(on, last.get(key, on))
    for balance in LotBalance.objects.select_related("lot"):
        if balance.last_on != last.get(balance.pk):
            yield (
                f"Lot {balance.lot.code}: its last entry is kept as of {balance.last_on}; "
                f"it is of {last.get(balance.pk)}."
            )


def _place_differences():
    for balance in LotBalance.objects.select_related("lot", "place"):
        place = place_on(balance.lot)
        if place != balance.place:
            yield f"Lot {balance.lot.code} is kept at {balance.place}; it stands at {place}."


def _size_differences():
    kept = dict(LotBalance.objects.values_list("pk", "measurement"))
    measured = sizes_now(kept)
    wrong = [lot for lot, measurement in kept.items() if measurement != measured[lot]]
    for code in Lot.objects.filter(pk__in=wrong).values_list("code", flat=True):
        yield f"Lot {code} is kept with another size than its last measurement gives."
