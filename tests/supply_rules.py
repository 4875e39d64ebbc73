"""What the database refuses of supplies, recipes, people, room and targets, by the rule's name."""

from collections.abc import Callable
from decimal import Decimal
from uuid import uuid4

from inventory.models import (
    Container,
    Lot,
    Person,
    Recipe,
    RecipeLine,
    Supply,
    SupplyEntry,
    Target,
    WorkEntry,
)
from inventory.operations import add_cost
from inventory.operations.spending import Use, Work
from inventory.operations.supplies import buy
from tests.factories import DAY


def use_up(lot: Lot) -> None:
    """Leave a row in the tables of supplies and of work."""
    pots = Supply.objects.create(name="Pots")
    person = Person.objects.create(name="Jory", hourly_rate=Decimal(18))
    day = {"on": DAY, "request_id": uuid4()}
    buy(supply=pots, quantity=Decimal(10), amount=Decimal(4), **day)
    uses = [Use(pots, Decimal(3)), Work(person, Decimal(20))]
    add_cost(lot=lot, uses=uses, on=DAY, request_id=uuid4())


def supply(**more) -> Supply:
    return Supply.objects.create(**{"name": "X"} | more)


def entry(**more) -> SupplyEntry:
    facts = {"supply": supply(), "date": DAY, "quantity": Decimal(1), "amount": Decimal(1)}
    return SupplyEntry.objects.create(**facts | more)


def recipe(lot: Lot, **more) -> Recipe:
    return Recipe.objects.create(kind="pot_up", container=lot.container, **more)


def line(lot: Lot, times: int = 1, quantity: int = 1) -> None:
    one, pots = recipe(lot), supply()
    for _ in range(times):
        RecipeLine.objects.create(recipe=one, supply=pots, quantity=Decimal(quantity))


def two_recipes(lot: Lot, **more) -> None:
    for _ in range(2):
        recipe(lot, **more)


def target(lot: Lot, **more) -> Target:
    facts = {"plant": lot.plant, "container": lot.container, "quantity": 9, "ready_by": DAY}
    return Target.objects.create(**facts | {"request_id": uuid4()} | more)


SUPPLY_RULES: dict[str, Callable[[Lot], object]] = {
    "inventory_supply_category_is_known": lambda lot: supply(category="gold"),
    "inventory_supply_settles_by_less_than_all": lambda lot: supply(settling_percent=100),
    "inventory_supply_pack_holds_something": lambda lot: supply(pack_size=Decimal(0)),
    "inventory_supplyentry_bought_comes_in": lambda lot: entry(kind="bought", quantity=Decimal(-1)),
    "inventory_supplyentry_undoing_names_what_it_undoes": lambda lot: entry(kind="undone"),
    "inventory_recipe_once_per_plant": lambda lot: two_recipes(lot, plant=lot.plant),
    "inventory_recipe_once_for_all_plants": two_recipes,
    "inventory_recipe_minutes_are_not_negative": lambda lot: recipe(lot, minutes=Decimal(-1)),
    "inventory_recipeline_once_per_supply": lambda lot: line(lot, times=2),
    "inventory_recipeline_takes_something": lambda lot: line(lot, quantity=0),
    "inventory_person_rate_is_not_negative": lambda lot: Person.objects.create(
        name="X", hourly_rate=Decimal(-1)
    ),
    "inventory_workentry_category_is_of_time": lambda lot: WorkEntry.objects.create(
        operation=lot.movements_in.get().operation,
        person=Person.objects.create(name="X", hourly_rate=Decimal(1)),
        category="heat",
        minutes=Decimal(1),
        amount=Decimal(1),
    ),
    "inventory_container_spacing_is_no_less_than_its_width": lambda lot: Container.objects.filter(
        pk=lot.container_id
    ).update(footprint_cm=20, spacing_cm=19),
    "inventory_target_wants_plants": lambda lot: target(lot, quantity=0),
    "inventory_target_assurance_is_known": lambda lot: target(lot, assurance=85),
}
