"""Scenes with supplies: bought, taken by a recipe, worked with."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

from inventory import operations
from inventory.models import Person, Recipe, Supply
from inventory.operations import supply_catalogue
from inventory.operations.supplies import buy, count_supply
from inventory.queries.supplies import on_hand_of
from tests.factories import container, lot_holding

BOUGHT_ON = date(2025, 3, 3)
POTTED_ON = date(2025, 5, 1)


def supply(name="Pots #1", **details) -> Supply:
    """Add a supply."""
    exact = {
        key: Decimal(value) if key in ("pack_size", "reorder_at", "settling_percent") else value
        for key, value in details.items()
    }
    return supply_catalogue.add_supply(name=name, **exact)


def bought(row: Supply, quantity, amount, on=BOUGHT_ON, **more):
    """Buy some of it."""
    what = {"quantity": Decimal(quantity), "amount": Decimal(amount), "on": on}
    return buy(supply=row, request_id=more.pop("request_id", uuid4()), **what | more)


def counted(row: Supply, found, on=POTTED_ON, **more):
    """Count it."""
    return count_supply(supply=row, found=Decimal(found), on=on, request_id=uuid4(), **more)


def there(row: Supply) -> tuple[Decimal, Decimal]:
    """Return what is on hand, and its value."""
    found = on_hand_of(row)
    return found.quantity, found.value


def jory(rate="18.00") -> Person:
    """Add somebody who pots."""
    return supply_catalogue.add_person(name="Jory", hourly_rate=Decimal(rate))


def potting() -> tuple[Supply, Supply]:
    """Buy pots and bark, and write the recipe of potting into #1.

    By hand: 40 plants take 40 pots at 0.40 = 16.00; 40 × 2.8 litres that settle by 20 %
    = 140 loose litres at 0.06 = 8.40; 40 × 0.75 minutes = 30 at 18.00 an hour = 9.00.
    """
    pots = supply(pack_size="50", reorder_at="60")
    bark = supply("Bark", unit="litre", category="medium", settling_percent="20")
    bought(pots, "100", "40.00", supplier="Marrowgate Pot Works")
    bought(bark, "1000", "60.00")
    supply_catalogue.set_recipe(
        kind=Recipe.Kind.POT_UP,
        container=container("#1"),
        minutes=Decimal("0.75"),
        quantities={pots: Decimal(1), bark: Decimal("2.8")},
    )
    return pots, bark


def rooted_tray(quantity=52):
    """Return a tray of rooted cuttings that cost 3.00 each."""
    return lot_holding(quantity, "THS-24A", size="tray", labour=str(3 * quantity))


def pot_up(lot, quantity, uses):
    """Pot up into #1 with what it takes."""
    return operations.pot_up(
        lot=lot,
        quantity=quantity,
        to_lot="THS-24A-1",
        container=container("#1"),
        on=POTTED_ON,
        uses=uses,
        request_id=uuid4(),
    )
