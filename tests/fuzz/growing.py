"""What the verbs of growing are asked."""

from inventory import operations as grow
from inventory.models import (
    Batch,
    Bill,
    Operation,
    PaidAhead,
    Place,
    Plant,
)
from inventory.sizes import Size
from tests.factories import DAY
from tests.fuzz.world import entry


def _loss(world) -> grow.Loss:
    treatment = world.among("policy", "normal", "abnormal", "")
    return grow.Loss(world.lot, world.number, world.cause, treatment)


def _days(world) -> dict:
    return {"first_day": world.day, "last_day": world.day}


GROWING = {
    grow.begin: lambda w: {
        "kind": w.among(*Batch.Kind.values),
        "batch": w.words or "N",
        "lot": w.words or "N",
        "plant": w.one(Plant),
        "container": w.size(),
        "quantity": w.number,
        "place": w.maybe(Place),
        "costs": w.costs,
        "uses": w.uses(),
        **entry(w),
    },
    grow.root_count: lambda w: {"lot": w.lot, "alive": w.number, "cause": w.cause, **entry(w)},
    grow.pot_up: lambda w: {
        "lot": w.lot,
        "quantity": w.number,
        "to_lot": w.words or "P",
        "container": w.size(),
        "lost": w.among(0, 0, w.number),
        "costs": w.costs,
        "uses": w.uses(),
        **entry(w),
    },
    grow.count: lambda w: {"lot": w.lot, "found": w.number, "cause": w.cause, **entry(w)},
    grow.move: lambda w: {
        "lot": w.lot,
        "place": w.maybe(Place),
        "quantity": w.among(None, w.number),
        "to_lot": w.words,
        **entry(w),
    },
    grow.blend: lambda w: (
        {"lot": w.lot, "to_lot": w.lot, "quantity": w.among(None, w.number)} | entry(w)
    ),
    grow.write_off: lambda w: {"losses": [_loss(w) for _ in range(w.among(1, 2, 0))], **entry(w)},
    grow.take_out: lambda w: (
        {"kind": w.among("use", "give"), "lot": w.lot, "quantity": w.number} | entry(w)
    ),
    grow.add_cost: lambda w: {"lot": w.lot, "costs": w.costs, "uses": w.uses(), **entry(w)},
    grow.measure_lot: lambda w: {
        "lot": w.lot,
        "sizes": [grow.Measured(Size(w.number, w.number), w.number, w.words)],
        **entry(w),
    },
    grow.reverse: lambda w: {"operation": w.one(Operation)},
    grow.enter_bill: lambda w: {
        "category": w.among("heat", "space", "labour"),
        "amount": w.amount,
        "place": w.maybe(Place),
        "note": w.words,
        **_days(w),
    },
    grow.undo_bill: lambda w: {"bill": w.one(Bill)},
    grow.pay_ahead: lambda w: {
        "category": "space",
        "amount": w.amount,
        "note": w.words,
        **_days(w),
    },
    grow.charge_part: lambda w: {"paid_ahead": w.one(PaidAhead), "until": w.day},
    grow.undo_paid_ahead: lambda w: {"paid_ahead": w.one(PaidAhead)},
    grow.close_period: lambda w: {"last_day": w.among(DAY, w.day)},
    grow.reopen: lambda w: {"to": w.among(None, w.day), "reason": w.words, "by": w.by},
    grow.add_target: lambda w: {
        "plant": w.one(Plant),
        "container": w.size(),
        "quantity": w.number,
        "ready_by": w.day,
        "note": w.words,
    },
}
