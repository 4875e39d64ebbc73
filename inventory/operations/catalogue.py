"""Name what the nursery works with: plants, places, containers, stock plants, expected losses.

These rows are no ledger: they may be changed. The same entry twice writes once, also
where both come at the same moment, because each holds the ledger like any writer.
"""

from decimal import Decimal

from inventory.errors import LedgerError
from inventory.models import (
    Container,
    ExpectedLoss,
    Operation,
    Place,
    Plant,
    StockPlant,
)
from inventory.names import search_key
from inventory.operations.begin import begin
from inventory.operations.posting import ledger_held


class NameTaken(LedgerError):
    """Another row has that name."""

    field = "name"


class WouldStandInItself(LedgerError):
    """A place would become a part of itself."""

    field = "parent"


@ledger_held()
def add_plant(*, name: str, **details) -> Plant:
    """Add a plant, or return it where it was added with the same details before."""
    there = Plant.objects.filter(search_key=search_key(name)).first()
    if there is None:
        plant = Plant(name=name, **details)
        plant.save()
        return plant
    if any(getattr(there, field) != value for field, value in details.items()):
        raise NameTaken(f"{there.name} is on the list already. Open it to change it.")
    return there


@ledger_held()
def edit_plant(*, plant: Plant, name: str, **details) -> Plant:
    """Change a plant's name or details. Lots and documents keep pointing at it."""
    others = Plant.objects.exclude(pk=plant.pk)
    other = others.filter(search_key=search_key(name)).first()
    if other:
        raise NameTaken(f"{other.name} is another plant on the list. Choose another name.")
    plant.name = name
    return _write(plant, details)


@ledger_held()
def plant_named(*, name: str) -> Plant:
    """Return the plant of that name in any spelling, adding it where it is new."""
    there = Plant.objects.filter(search_key=search_key(name)).first()
    return there or add_plant(name=name)


@ledger_held()
def begin_named(
    *, plant: str, place: Place | None = None, new_place: str = "", **what
) -> Operation:
    """Begin a batch of a plant by its name, adding plant and place where they are new.

    All or nothing: where the batch is refused, no plant and no place stays behind.
    """
    if new_place:
        place = add_place(name=new_place)
    return begin(plant=plant_named(name=plant), place=place, **what)


@ledger_held()
def add_place(*, name: str, **details) -> Place:
    """Add a place, or return it where it was added with the same details before."""
    there = Place.objects.filter(name__iexact=name).first()
    if there is None:
        return _write(Place(name=name), details)
    if any(getattr(there, field) != value for field, value in details.items()):
        raise NameTaken(f"{there.name} is on the list already. Open it to change it.")
    return there


@ledger_held()
def edit_place(*, place: Place, name: str, parent: Place | None = None, **details) -> Place:
    """Change a place. It cannot stand in itself, nor in one of its own parts."""
    if Place.objects.exclude(pk=place.pk).filter(name__iexact=name).exists():
        raise NameTaken(f"{name} is another place on the list. Choose another name.")
    above = parent
    while above is not None:
        if above.pk == place.pk:
            raise WouldStandInItself(f"{name} cannot be a part of itself. Choose another place.")
        above = above.parent
    place.name, place.parent = name, parent
    return _write(place, details)


@ledger_held()
def edit_container(*, container: Container, **details) -> Container:
    """Change what is the nursery's own about a container; its code and class stay."""
    return _write(container, details)


@ledger_held()
def add_stock_plant(*, code: str, plant: str, **details) -> StockPlant:
    """Add a parent plant, or return it where it was added with the same details before."""
    named = plant_named(name=plant)
    there = StockPlant.objects.filter(code__iexact=code).first()
    if there is None:
        return _write(StockPlant(code=code, plant=named), details)
    same = all(getattr(there, field) == value for field, value in details.items())
    if there.plant_id != named.pk or not same:
        raise NameTaken(f"{there} has that code. Choose another one.", field="code")
    return there


@ledger_held()
def expect_loss(*, stage: str, percent: Decimal | None, plant: Plant | None = None) -> None:
    """Set the loss expected in a stage, of one plant or of all; None takes it away.

    It counts from the next write-off on. What was written off stays as it was.
    """
    if percent is None:
        ExpectedLoss.objects.filter(stage=stage, plant=plant).delete()
    else:
        ExpectedLoss.objects.update_or_create(
            stage=stage, plant=plant, defaults={"percent": percent}
        )


@ledger_held()
def expect_losses(*, percents: dict[str, Decimal | None]) -> None:
    """Set the losses expected of all plants, stage by stage."""
    for stage, percent in percents.items():
        expect_loss(stage=stage, percent=percent)


def _write(row, details):
    for field, value in details.items():
        setattr(row, field, value)
    row.save()
    return row
