"""A small nursery to be hostile to: what the verbs are asked, drawn from what is there."""

from datetime import date, timedelta
from decimal import Decimal
from inspect import signature
from uuid import uuid4

from hypothesis import strategies as st

from inventory import operations as grow
from inventory.costing.categories import CATEGORIES
from inventory.models import (
    Batch,
    LossCause,
    Lot,
    Operation,
    PaidAhead,
    Person,
    Place,
    Plant,
    Supply,
)
from inventory.operations import supply_catalogue
from inventory.operations.spending import Use, Work
from inventory.sizes import Size
from sales import operations as sell
from sales.models import Buyer, Document, Hold, HoldLine, Payment, StandDay, StandStep
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    PlaceFactory,
    PlantFactory,
    UserFactory,
    container,
    give_price,
    lot_holding,
)

TODAY = date.today()
SIZES = ("#1", "tray", "#3")
WAYS = ("cash", "card", "transfer")
# Nine in ten are such as people enter, so that the ledger has something in it to break.
NUMBERS = st.one_of(
    *[st.integers(1, 40)] * 9,
    st.sampled_from([0, -1, -(2**31), 2**31, 2**63, 10**30]),
)
AMOUNTS = st.one_of(
    *[st.decimals("0.01", "400", places=2)] * 9,
    st.sampled_from(
        [
            *map(Decimal, ("0", "-1", "-0.01", "0.000001", "0.0000001", "0.005", "99999999999")),
            *map(Decimal, ("1E+30", "1E+999999", "NaN", "sNaN", "Infinity", "-Infinity")),
        ]
    ),
)
DAYS = st.one_of(
    *[st.integers(0, 300).map(lambda days: DAY + timedelta(days))] * 9,
    st.sampled_from([date.min, date.max, date(1900, 2, 28), TODAY, TODAY + timedelta(400)]),
)
WORDS = st.one_of(
    *[st.sampled_from(["", "north bench", "A", "B", "C-1"])] * 6,
    st.sampled_from(
        ["\u202eabc", "🌱🌱", "a\x00b", "x" * 10_000, "<b>&\"'", "=1+1", "\r\n", " ", "{{ 1 }}"]
    ),
)


class World:
    """What there is, and a way to draw from it."""

    def __init__(self):
        NurseryFactory()
        self.by, self.draw = UserFactory(), None
        for code, size in (("A", "#1"), ("B", "#1"), ("T", "tray")):
            plant = Plant.objects.first() or PlantFactory()
            give_price(lot_holding(60, code, size=size, plant=plant, labour="30.00"), "10.00")
        lot_holding(20, "O", labour="7.77")
        PlaceFactory(area_m2=Decimal(40)), PlaceFactory(), BuyerFactory(), BuyerFactory()
        supply_catalogue.add_supply(name="Pots")
        supply_catalogue.add_person(name="Jory", hourly_rate=Decimal(18))

    def one(self, model, rows=None):
        """Draw a row, or None where there is none."""
        keys = list((model.objects.all() if rows is None else rows).order_by("pk"))
        return self.draw(st.sampled_from(keys)) if keys else None

    def maybe(self, model):
        """Draw a row, or none."""
        return self.one(model) if self.draw(st.booleans()) else None

    def among(self, *words):
        """Draw one of some words."""
        return self.draw(st.sampled_from(words))

    number = property(lambda self: self.draw(NUMBERS))
    amount = property(lambda self: self.draw(AMOUNTS))
    day = property(lambda self: self.draw(DAYS))
    words = property(lambda self: self.draw(WORDS))
    yes = property(lambda self: self.draw(st.booleans()))
    lot = property(lambda self: self.one(Lot))
    buyer = property(lambda self: self.one(Buyer))
    cause = property(lambda self: self.one(LossCause))
    costs = property(lambda self: {self.among(*CATEGORIES): self.amount})

    def size(self):
        """Draw a container."""
        return container(self.among(*SIZES))

    def uses(self):
        """Draw supplies and work that an entry takes."""
        taken = [Use(self.one(Supply), self.amount)] if self.yes else []
        return taken + ([Work(self.one(Person), self.amount)] if self.yes else [])

    def item(self):
        """Draw what is sold."""
        lot = self.lot
        facts = {"lot": lot if self.yes else None, "unit_price": self.amount if self.yes else None}
        return sell.Item(lot.plant, lot.container, self.number, **facts)

    def wanted(self):
        """Draw what is held."""
        lot = self.lot
        facts = {"lot": lot if self.yes else None, "unit_price": self.amount if self.yes else None}
        return sell.Wanted(lot.plant, lot.container, self.number, ahead=self.yes, **facts)


def _entry(world) -> dict:
    return {"on": world.day, "note": world.words}


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
        **_entry(w),
    },
    grow.root_count: lambda w: {"lot": w.lot, "alive": w.number, "cause": w.cause, **_entry(w)},
    grow.pot_up: lambda w: {
        "lot": w.lot,
        "quantity": w.number,
        "to_lot": w.words or "P",
        "container": w.size(),
        "lost": w.among(0, 0, w.number),
        "costs": w.costs,
        "uses": w.uses(),
        **_entry(w),
    },
    grow.count: lambda w: {"lot": w.lot, "found": w.number, "cause": w.cause, **_entry(w)},
    grow.move: lambda w: {
        "lot": w.lot,
        "place": w.maybe(Place),
        "quantity": w.among(None, w.number),
        "to_lot": w.words,
        **_entry(w),
    },
    grow.blend: lambda w: (
        {"lot": w.lot, "to_lot": w.lot, "quantity": w.among(None, w.number)} | _entry(w)
    ),
    grow.write_off: lambda w: {"losses": [_loss(w) for _ in range(w.among(1, 2, 0))], **_entry(w)},
    grow.take_out: lambda w: (
        {"kind": w.among("use", "give"), "lot": w.lot, "quantity": w.number} | _entry(w)
    ),
    grow.add_cost: lambda w: {"lot": w.lot, "costs": w.costs, "uses": w.uses(), **_entry(w)},
    grow.measure_lot: lambda w: {
        "lot": w.lot,
        "sizes": [grow.Measured(Size(w.number, w.number), w.number, w.words)],
        **_entry(w),
    },
    grow.reverse: lambda w: {"operation": w.one(Operation)},
    grow.enter_bill: lambda w: {
        "category": w.among("heat", "space", "labour"),
        "amount": w.amount,
        "place": w.maybe(Place),
        "note": w.words,
        **_days(w),
    },
    grow.undo_bill: lambda w: {"bill": w.one(grow_bill())},
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


def grow_bill():
    """Return the model of bills, whose name a verb's module would hide."""
    from inventory.models import Bill

    return Bill


def _items(world) -> list:
    return [world.item() for _ in range(world.among(1, 1, 2, 0))]


def _paid(world) -> dict:
    return {"amount": world.amount, "method": world.among(*WAYS), "on": world.day}


def _put(world) -> dict:
    return {"day": world.one(StandDay), "plants": {world.lot: world.number}, **_entry(world)}


SELLING = {
    sell.sell: lambda w: {
        "items": _items(w),
        "buyer": w.maybe(Buyer),
        "paid_by": w.among("", *WAYS),
        "deposit": w.among(Decimal(0), w.amount),
        "despite_holds": w.yes,
        **_entry(w),
    },
    sell.take_back: lambda w: {
        "document": w.one(Document),
        "plants": [(w.lot, w.number)],
        "restock": w.yes,
        **_entry(w),
    },
    sell.undo_sale: lambda w: {"document": w.one(Document)},
    sell.pay: lambda w: {"document": w.one(Document), "rest": w.among("", "account"), **_paid(w)},
    sell.pay_several: lambda w: {
        "buyer": w.buyer,
        "documents": list(Document.objects.all()[:3]),
        **_paid(w),
    },
    sell.undo_payment: lambda w: {"payment": w.one(Payment)},
    sell.take_on_account: lambda w: {"buyer": w.buyer, "note": w.words, **_paid(w)},
    sell.use_account: lambda w: {"document": w.one(Document), "amount": w.amount, "on": w.day},
    sell.keep_on_account: lambda w: {"document": w.one(Document), "amount": w.amount, "on": w.day},
    sell.let_go: lambda w: {"document": w.one(Document), "amount": w.amount, **_entry(w)},
    sell.give_back: lambda w: {"buyer": w.buyer, **_paid(w)},
    sell.hold: lambda w: {
        "buyer": w.buyer,
        "wanted": [w.wanted() for _ in range(w.among(1, 2, 0))],
        "until": w.day,
        "deposit": w.among(None, sell.DepositPaid(w.amount, "cash")),
        **_entry(w),
    },
    sell.add_to_hold: lambda w: {"hold": w.one(Hold), "wanted": [w.wanted()], "on": w.day},
    sell.change_hold: lambda w: {
        "hold": w.one(Hold),
        "on": w.day,
        "until": w.among(None, w.day),
        "numbers": dict.fromkeys(HoldLine.objects.all()[:1], w.number),
    },
    sell.let_go_of_hold: lambda w: {"hold": w.one(Hold), "on": w.day},
    sell.sell_held: lambda w: {
        "hold": w.one(Hold),
        "numbers": dict.fromkeys(HoldLine.objects.all()[:2], w.number),
        "paid_by": w.among("", *WAYS),
        **_entry(w),
    },
    sell.take_deposit: lambda w: {"hold": w.one(Hold), **_paid(w)},
    sell.give_deposit_back: lambda w: {"hold": w.one(Hold), **_paid(w)},
    sell.set_prices: lambda w: {
        "prices": [
            sell.NewPrice(
                w.one(Plant), w.size(), w.among(None, w.amount), grade=w.words, least=w.number
            )
        ],
        "on": w.day,
    },
    sell.set_tax_rate: lambda w: {
        "percent": w.amount,
        "on": w.day,
        "basis": w.among("invoice", "item"),
        "name": w.words or "Tax",
        "included": w.yes,
    },
    sell.merge_buyers: lambda w: {"kept": w.buyer, "merged": w.buyer},
    sell.open_stand: lambda w: {
        "place": w.one(Place),
        "began_with": w.amount,
        "plants": {w.lot: w.number},
        **_entry(w),
    },
    sell.put_out: _put,
    sell.bring_back: _put,
    sell.move_money: lambda w: {
        "day": w.one(StandDay),
        "kind": w.among("paid_out", "banked"),
        "amount": w.amount.copy_negate(),
        **_entry(w),
    },
    sell.close_stand: lambda w: {
        "day": w.one(StandDay),
        "left": [sell.Left(w.lot, w.number, w.among(None, w.cause))],
        "cash": w.amount,
        **_entry(w),
    },
    sell.undo_stand_step: lambda w: {"step": w.one(StandStep)},
}
VERBS = {**GROWING, **SELLING}


def asked(verb, world) -> dict | None:
    """Draw what a verb is asked, or None where there is nothing yet to ask it of."""
    facts = VERBS[verb](world)
    kept = {"costs", "place", "to", "quantity", "buyer", "until", "deposit"}
    if any(value is None for name, value in facts.items() if name not in kept):
        return None
    by = {"by": world.by} if "by" in signature(verb).parameters else {}
    return {"request_id": uuid4(), **by, **facts}
