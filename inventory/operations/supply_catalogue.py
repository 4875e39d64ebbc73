"""Name the supplies, the recipes of sticking and potting, and the people who work here.

These rows are no ledger: they may be changed. The same entry twice writes once.
"""

from collections.abc import Mapping
from decimal import Decimal

from inventory.errors import LedgerError
from inventory.models import Container, Person, Plant, Recipe, RecipeLine, Supply
from inventory.operations.catalogue import NameTaken
from inventory.operations.posting import ledger_held


@ledger_held()
def add_supply(*, name: str, **details) -> Supply:
    """Add a supply, or return it where it was added with the same details before."""
    return _added(Supply, name, details)


@ledger_held()
def edit_supply(*, supply: Supply, name: str, **details) -> Supply:
    """Change a supply. Its unit stays once something was bought, used or counted in it."""
    unit = details.get("unit", supply.unit)
    if unit != supply.unit and supply.entries.exists():
        raise LedgerError(
            f"{supply} was entered in {supply.get_unit_display()} already, and stays so. "
            "Add another supply for the other unit.",
            field="unit",
        )
    return _changed(supply, name, details)


@ledger_held()
def add_person(*, name: str, **details) -> Person:
    """Add a person, or return them where they were added with the same details before."""
    return _added(Person, name, details)


@ledger_held()
def edit_person(*, person: Person, name: str, **details) -> Person:
    """Change a person. What their time cost before stays as it was."""
    return _changed(person, name, details)


@ledger_held()
def set_recipe(
    *,
    kind: str,
    container: Container,
    plant: Plant | None = None,
    minutes: Decimal = Decimal(0),
    quantities: Mapping[Supply, Decimal],
) -> Recipe | None:
    """Set what one plant takes; a recipe that takes nothing is taken away.

    It counts from the next entry on. What was entered stays as it was.
    """
    if minutes < 0 or any(quantity < 0 for quantity in quantities.values()):
        raise LedgerError("A recipe takes nothing or more of each, never less.")
    recipe = Recipe.objects.filter(kind=kind, container=container, plant=plant).first()
    wanted = {supply: quantity for supply, quantity in quantities.items() if quantity}
    if recipe:
        recipe.lines.all().delete()
    if not wanted and not minutes:
        if recipe:
            recipe.delete()
        return None
    recipe = recipe or Recipe(kind=kind, container=container, plant=plant)
    recipe.minutes = minutes
    recipe.save()
    RecipeLine.objects.bulk_create(
        RecipeLine(recipe=recipe, supply=supply, quantity=quantity)
        for supply, quantity in wanted.items()
    )
    return recipe


def _added(model, name, details):
    there = model.objects.filter(name__iexact=name).first()
    if there is None:
        return _written(model(name=name), details)
    if any(getattr(there, field) != value for field, value in details.items()):
        raise NameTaken(f"{there.name} is on the list already. Open it to change it.")
    return there


def _changed(row, name, details):
    if type(row).objects.exclude(pk=row.pk).filter(name__iexact=name).exists():
        raise NameTaken(f"{name} is on the list already. Choose another name.")
    row.name = name
    return _written(row, details)


def _written(row, details):
    for field, value in details.items():
        setattr(row, field, value)
    row.save()
    return row
