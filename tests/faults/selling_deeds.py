"""What a seller does, planned from what stands and done by plain facts."""

from datetime import timedelta
from decimal import Decimal
from random import Random
from uuid import UUID

from inventory.models import Container, Lot, LotBalance, Place, Plant
from sales import operations
from sales.models import Buyer, Document, Hold, StandDay
from sales.queries.put_out import put_out_on
from tests.factories import cause, container
from tests.faults.scene import SIZE, day


def sell(chance: Random, number: int) -> dict | None:
    """Sell up to four lines, to a buyer or a walk-in, paid at once or not."""
    lots = _lots(chance, 4)
    return lots and {
        "items": [(code, chance.randint(1, 5)) for code in lots],
        "buyer": chance.choice([None, *_buyers()]),
        "paid_by": chance.choice(("cash", "card", "")),
        "on": day(number),
    }


def do_sell(request_id: UUID, *, items, buyer, paid_by, on, stand=None) -> Document:
    return operations.sell(
        items=[_item(code, quantity) for code, quantity in items],
        on=on,
        buyer=buyer and Buyer.objects.get(pk=buyer),
        paid_by=paid_by,
        stand=stand and StandDay.objects.get(pk=stand),
        request_id=request_id,
    )


def take_back(chance: Random, number: int) -> dict | None:
    sale = _sale(chance)
    restock = chance.random() < 0.5
    return sale and {"document": sale.pk, "restock": restock, "on": sale.date + timedelta(1)}


def do_take_back(request_id: UUID, *, document, restock, on) -> Document:
    sale = Document.objects.get(pk=document)
    take = sale.lines.first().takes.first()
    return operations.take_back(
        document=sale,
        plants=[(take.movement.from_lot, 1)],
        on=on,
        restock=restock,
        cause=cause("damage"),
        request_id=request_id,
    )


def undo_sale(chance: Random, number: int) -> dict | None:
    sale = _sale(chance)
    return sale and {"document": sale.pk}


def do_undo_sale(request_id: UUID, *, document) -> int:
    operations.undo_sale(document=Document.objects.get(pk=document), request_id=request_id)
    return document


def pay(chance: Random, number: int) -> dict | None:
    owing = Document.objects.standing().filter(kind="sale", payments=None, net__gte=1)
    found = owing.order_by("-pk").first()
    return found and {"document": found.pk, "on": found.date}


def do_pay(request_id: UUID, *, document, on):
    return operations.pay(
        document=Document.objects.get(pk=document),
        amount=Decimal("1.00"),
        method="cheque",
        on=on,
        request_id=request_id,
    )


def price_sheet(chance: Random, number: int) -> dict:
    plants = Plant.objects.order_by("pk").values_list("pk", flat=True)
    return {
        "prices": [(pk, str(chance.randint(500, 2500) / 100)) for pk in plants],
        "on": day(number),
    }


def do_price_sheet(request_id: UUID, *, prices, on) -> int:
    rows = [
        operations.NewPrice(Plant.objects.get(pk=pk), one, Decimal(amount))
        for pk, amount in prices
        for one in Container.objects.filter(code__in=("#1", "#3"))
    ]
    return operations.set_prices(prices=rows, on=on, request_id=request_id)[0]


def hold(chance: Random, number: int) -> dict | None:
    plant = chance.choice(Plant.objects.order_by("pk").values_list("pk", flat=True))
    return {"buyer": chance.choice(_buyers()), "plant": plant, "on": day(number)}


def do_hold(request_id: UUID, *, buyer, plant, on, quantity=4, lot=None) -> Hold:
    lot = lot and Lot.objects.get(code=lot)
    wanted = operations.Wanted(Plant.objects.get(pk=plant), container(SIZE), quantity, lot=lot)
    return operations.hold(
        buyer=Buyer.objects.get(pk=buyer),
        wanted=[wanted],
        until=on + timedelta(5),
        on=on,
        deposit=operations.DepositPaid(Decimal("5.00"), "cash"),
        request_id=request_id,
    )


def sell_held(chance: Random, number: int) -> dict | None:
    open_ones = [one for one in Hold.objects.order_by("-pk")[:4] if _open_line(one)]
    found = open_ones and chance.choice(open_ones)
    return {"hold": found.pk, "line": _open_line(found).pk, "on": found.made_on} if found else None


def do_sell_held(request_id: UUID, *, hold, line, on, quantity=2) -> Document:
    promise = Hold.objects.get(pk=hold)
    return operations.sell_held(
        hold=promise,
        numbers={promise.lines.get(pk=line): quantity},
        on=on,
        paid_by="card",
        request_id=request_id,
    )


def stand_day(chance: Random, number: int) -> dict | None:
    """Open a stand with plants out, or close the one that is open."""
    standing = StandDay.objects.open().first()
    if standing:
        out = {row.lot.code: max(row.open - chance.randint(0, 2), 0) for row in _out(standing)}
        return {"open": None, "close": standing.pk, "plants": out, "on": standing.date}
    lots = _lots(chance, 2)
    place = Place.objects.order_by("pk").first().pk
    plants = dict.fromkeys(lots or [], 3)
    return {"open": place, "close": None, "plants": plants, "on": day(number)}


def do_stand_day(request_id: UUID, *, open, close, plants, on):
    numbers = {Lot.objects.get(code=code): number for code, number in plants.items()}
    if open:
        return operations.open_stand(
            place=Place.objects.get(pk=open),
            began_with=Decimal("50.00"),
            plants=numbers,
            on=on,
            request_id=request_id,
        )
    return operations.close_stand(
        day=StandDay.objects.get(pk=close),
        left=[operations.Left(lot, number) for lot, number in numbers.items()],
        cash=Decimal("61.00"),
        on=on,
        request_id=request_id,
    )


def _out(standing):
    return [row for row in put_out_on(standing) if row.open]


def _open_line(hold):
    return next((line for line in hold.lines.with_taken() if line.open >= 2), None)


def _item(code, quantity):
    lot = Lot.objects.get(code=code)
    return operations.Item(lot.plant, lot.container, quantity, lot=lot)


def _lots(chance, most):
    standing = LotBalance.objects.filter(on_hand__gte=8).order_by("pk")
    codes = list(standing.values_list("lot__code", flat=True))
    return sorted(chance.sample(codes, min(chance.randint(1, most), len(codes))))


def _sale(chance):
    found = Document.objects.standing().filter(kind="sale").order_by("-pk")[:6]
    return chance.choice(found) if found else None


def _buyers():
    return list(Buyer.objects.order_by("pk").values_list("pk", flat=True))
