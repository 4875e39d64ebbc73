"""What a grower does, planned from what stands and done by plain facts.

A plan names its lots by code and everything else by figures, so that another process can do
the very same deed again. It is None where the ledger holds nothing to do it with.
"""

import io
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from uuid import UUID

from PIL import Image

from inventory import operations
from inventory.models import Lot, LotBalance, Operation, Photo, Place, Plant
from sales.ledger_file.importing import import_ledger
from tests.factories import cause, container
from tests.faults.scene import FIRST_DAY, LARGER, SIZE, day

CAUSES = ("winter", "disease", "pest", "drought", "damage")


def stick(chance: Random, number: int) -> dict:
    return {
        "code": f"S{chance.getrandbits(40):x}",
        "plant": chance.choice(Plant.objects.order_by("pk").values_list("pk", flat=True)),
        "quantity": chance.randint(20, 90),
        "cost": str(chance.randint(100, 9000) / 100),
        "on": day(number),
        "place": chance.choice(Place.objects.order_by("pk").values_list("pk", flat=True)),
    }


def do_stick(request_id: UUID, *, code, plant, quantity, cost, on, place):
    return operations.begin(
        kind="stick",
        batch=f"B{code}",
        lot=code,
        plant=Plant.objects.get(pk=plant),
        container=container(SIZE),
        quantity=quantity,
        on=on,
        place=Place.objects.get(pk=place),
        costs={"cuttings": Decimal(cost), "labour": Decimal("4.10")},
        request_id=request_id,
    )


def pot_up(chance: Random, number: int) -> dict | None:
    lot = _lot(chance, 12)
    return lot and {"lot": lot.code, "to": f"P{chance.getrandbits(40):x}", "on": day(number)}


def do_pot_up(request_id: UUID, *, lot, to, on):
    return operations.pot_up(
        lot=_named(lot),
        quantity=8,
        to_lot=to,
        container=container(LARGER),
        on=on,
        lost=2,
        costs={"containers": Decimal("6.40"), "medium": Decimal("3.17")},
        place=Place.objects.first(),
        request_id=request_id,
    )


def lose(chance: Random, number: int) -> dict | None:
    """Write off plants of one lot or two, one time in two on an earlier day."""
    lots = {one.code for _ in range(2) if (one := _lot(chance, 5))}
    on = day(number) - timedelta(chance.choice((0, chance.randint(1, 30))))
    losses = [(code, chance.randint(1, 3), chance.choice(CAUSES)) for code in sorted(lots)]
    return {"losses": losses, "on": max(on, FIRST_DAY)} if losses else None


def do_lose(request_id: UUID, *, losses, on):
    rows = [operations.Loss(_named(lot), number, cause(why)) for lot, number, why in losses]
    return operations.write_off(losses=rows, on=on, request_id=request_id)


def count(chance: Random, number: int) -> dict | None:
    lot = _lot(chance, 4)
    found = lot and max(lot.balance.on_hand + chance.randint(-3, 2), 0)
    return lot and {"lot": lot.code, "found": found, "on": day(number)}


def do_count(request_id: UUID, *, lot, found, on):
    return operations.count(lot=_named(lot), found=found, on=on, request_id=request_id)


def move(chance: Random, number: int) -> dict | None:
    lot = _lot(chance, 6)
    return lot and {"lot": lot.code, "to": f"M{chance.getrandbits(40):x}", "on": day(number)}


def do_move(request_id: UUID, *, lot, to, on):
    return operations.move(
        lot=_named(lot),
        quantity=3,
        to_lot=to,
        place=Place.objects.last(),
        on=on,
        request_id=request_id,
    )


def undo(chance: Random, number: int) -> dict | None:
    kinds = ("stick", "loss", "count", "pot_up", "move")
    rows = Operation.objects.filter(kind__in=kinds, reversed_by=None)
    last = rows.order_by("-pk").values_list("pk", flat=True)[:6]
    return {"operation": chance.choice(last)} if last else None


def do_undo(request_id: UUID, *, operation):
    return operations.reverse(operation=Operation.objects.get(pk=operation), request_id=request_id)


def bill(chance: Random, number: int) -> dict:
    last = day(number)
    return {
        "amount": str(chance.randint(1000, 40000) / 100),
        "first": max(FIRST_DAY, last - timedelta(chance.randint(3, 40))),
        "last": last,
    }


def do_bill(request_id: UUID, *, amount, first, last):
    return operations.enter_bill(
        category="heat",
        amount=Decimal(amount),
        first_day=first,
        last_day=last,
        place=Place.objects.first(),
        basis="plants",
        request_id=request_id,
    )


def photo(chance: Random, number: int) -> dict:
    return {"colour": chance.getrandbits(24)}


def do_photo(request_id: UUID, *, colour) -> Photo:
    out = io.BytesIO()
    Image.new("RGB", (320, 240), f"#{colour:06x}").save(out, "JPEG")
    return operations.add_photo(
        plant=Plant.objects.order_by("pk").first(), content=out.getvalue(), request_id=request_id
    )


def ledger_file(chance: Random, number: int) -> dict:
    return {"code": f"F{chance.getrandbits(40):x}", "on": day(number), "rows": 12}


def do_ledger_file(request_id: UUID, *, code, on, rows) -> str:
    """Import a file of lots, what they cost and what was lost of them."""
    plant = Plant.objects.order_by("pk").first()
    lines = ["date,event,lot,batch,plant,container,quantity,category,amount,cause"]
    for number in range(rows):
        lot = f"{code}-{number}"
        lines.append(f"{on},opening,{lot},{lot},{plant},{SIZE},30,plants,45.00,")
        lines.append(f"{on},loss,{lot},,,,2,,,winter")
    with TemporaryDirectory() as folder:
        path = Path(folder) / "lots.csv"
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        import_ledger(path)
    return code


def _lot(chance: Random, least: int) -> Lot | None:
    standing = LotBalance.objects.filter(on_hand__gte=least).order_by("pk")
    found = standing.values_list("pk", flat=True)
    return Lot.objects.select_related("balance").get(pk=chance.choice(found)) if found else None


def _named(code: str) -> Lot:
    return Lot.objects.get(code=code)
