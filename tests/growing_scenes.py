"""Scenes for the growing pages: a lot with a life behind it."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

from inventory import operations
from inventory.models import Lot
from inventory.operations import Loss
from tests.factories import PlaceFactory, PlantFactory, cause, container, lot_holding, sell_from

STUCK_ON = date(2024, 11, 4)
POTTED_ON = date(2025, 6, 2)


def potted_lot() -> Lot:
    """Stick 100 for 50.00, root 80, pot up 40 of them for 60.00; write off 4 and sell 6.

    By hand: 50.00 / 80 = 0.625 each rooted (the 20 are a normal loss); 40 × 0.625 + 60.00
    = 85.00, 2.125 each; after 4 lost as expected 85.00 / 36 = 2.361111 each.
    """
    plant = PlantFactory(name="Taxus ×media 'Hicksii'", common_name="Hicks yew")
    tray = lot_holding(
        100, "TXH-24A", size="tray", plant=plant, on=STUCK_ON, batch="TXH-24A", cuttings="50.00"
    )
    count_rooted(tray, 80)
    operations.pot_up(
        lot=tray,
        quantity=40,
        to_lot="TXH-24A-1",
        container=container("#1"),
        place=PlaceFactory(name="South bed"),
        on=POTTED_ON,
        costs={"containers": Decimal("20.00"), "labour": Decimal("40.00")},
        request_id=uuid4(),
    )
    lot = Lot.objects.get(code="TXH-24A-1")
    lose(lot, 4)
    sell_from(lot, 6, on=date(2026, 4, 25))
    return lot


def count_rooted(lot, alive, on=date(2025, 4, 20)):
    return operations.root_count(
        lot=lot, alive=alive, on=on, treatment="normal", request_id=uuid4()
    )


def lose(lot, quantity, on=date(2026, 4, 18)):
    loss = Loss(lot, quantity, cause("winter"), "normal")
    return operations.write_off(losses=[loss], on=on, request_id=uuid4())


def undo(operation):
    return operations.reverse(operation=operation, request_id=uuid4())
