"""What the verbs of selling are asked."""

from decimal import Decimal

from inventory.models import Place, Plant
from sales import operations as sell
from sales.models import Buyer, Document, Hold, HoldLine, Payment, StandDay, StandStep
from tests.fuzz.world import WAYS, entry


def _items(world) -> list:
    return [world.item() for _ in range(world.among(1, 1, 2, 0))]


def _paid(world) -> dict:
    return {"amount": world.amount, "method": world.among(*WAYS), "on": world.day}


def _put(world) -> dict:
    return {"day": world.one(StandDay), "plants": {world.lot: world.number}, **entry(world)}


SELLING = {
    sell.sell: lambda w: {
        "items": _items(w),
        "buyer": w.maybe(Buyer),
        "paid_by": w.among("", *WAYS),
        "deposit": w.among(Decimal(0), w.amount),
        "despite_holds": w.yes,
        **entry(w),
    },
    sell.take_back: lambda w: {
        "document": w.one(Document),
        "plants": [(w.lot, w.number)],
        "restock": w.yes,
        **entry(w),
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
    sell.let_go: lambda w: {"document": w.one(Document), "amount": w.amount, **entry(w)},
    sell.give_back: lambda w: {"buyer": w.buyer, **_paid(w)},
    sell.hold: lambda w: {
        "buyer": w.buyer,
        "wanted": [w.wanted() for _ in range(w.among(1, 2, 0))],
        "until": w.day,
        "deposit": w.among(None, sell.DepositPaid(w.amount, "cash")),
        **entry(w),
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
        **entry(w),
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
        **entry(w),
    },
    sell.put_out: _put,
    sell.bring_back: _put,
    sell.move_money: lambda w: {
        "day": w.one(StandDay),
        "kind": w.among("paid_out", "banked"),
        "amount": w.amount.copy_negate(),
        **entry(w),
    },
    sell.close_stand: lambda w: {
        "day": w.one(StandDay),
        "left": [sell.Left(w.lot, w.number, w.among(None, w.cause))],
        "cash": w.amount,
        **entry(w),
    },
    sell.undo_stand_step: lambda w: {"step": w.one(StandStep)},
}
