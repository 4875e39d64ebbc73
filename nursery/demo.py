"""Fill an empty ledger with the demo nursery. All of it is invented."""

import json
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path
from uuid import uuid4

from inventory.models import (
    Batch,
    Container,
    ExpectedLoss,
    MethodStep,
    Nursery,
    Operation,
    Place,
    Plant,
    StockPlant,
    Supply,
)
from inventory.operations.bench import note_bench
from inventory.operations.methods import copy_starter
from inventory.operations.nursery import tell_frost
from inventory.operations.posting import ledger_held
from inventory.operations.steps import say_how_raised, tick_step
from inventory.operations.supply_catalogue import set_recipe
from inventory.operations.targets import add_target
from inventory.queries.due_steps import steps_of_batches
from inventory.treatment import Treatment
from sales.ledger_file.importing import import_ledger
from sales.models import Buyer, TaxRate

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"


def fill(say: Callable[[str], None]) -> None:
    """Fill the ledger with three seasons of the demo nursery, unless it is filled."""
    with ledger_held():
        if Nursery.objects.exists():
            return
        say("Setting up the demo nursery")
        facts = json.loads((FIXTURES / "demo.json").read_text(encoding="utf-8"))
        nursery = facts["nursery"]
        Nursery(**nursery | {"address": "\n".join(nursery["address"]), "demo": True}).save()
        _fill_selling(facts)
        _fill_growing(facts)
        import_ledger(FIXTURES / "demo.csv", say=say)
        _fill_recipes(facts)
        _fill_targets(facts)
        _fill_methods(facts)


def _fill_selling(facts):
    for rate in facts["tax"]:
        TaxRate.objects.create(
            name=rate["name"],
            percent=Decimal(rate["percent"]),
            valid_from=date.fromisoformat(rate["from"]),
        )
    for buyer in facts["buyers"]:
        Buyer.objects.create(**buyer | {"address": "\n".join(buyer["address"])})


def _fill_growing(facts):
    plants = {}
    for plant in facts["plants"]:
        expires, royalty = plant.pop("patent_expires"), plant.pop("royalty", None)
        plants[plant["name"]] = Plant.objects.create(
            **plant,
            patent_expires=expires and date.fromisoformat(expires),
            royalty=royalty and Decimal(royalty),
        )
    places = {}
    for place in facts["places"]:
        places[place["name"]] = Place.objects.create(
            **place
            | {"parent": places.get(place["parent"])}
            | {"area_m2": place["area_m2"] and Decimal(place["area_m2"])}
        )
    for stock in facts["stock_plants"]:
        StockPlant.objects.create(
            **stock | {"plant": plants[stock["plant"]], "place": places.get(stock["place"])}
        )
    for expected in facts["expected_losses"]:
        ExpectedLoss.objects.create(
            plant=plants.get(expected["plant"]),
            stage=expected["stage"],
            percent=Decimal(expected["percent"]),
        )


def _fill_recipes(facts):
    supplies = {supply.name: supply for supply in Supply.objects.all()}
    for recipe in facts["recipes"]:
        takes = recipe["takes"].items()
        set_recipe(
            kind=recipe["kind"],
            container=Container.objects.get(code=recipe["container"]),
            minutes=Decimal(recipe["minutes"]),
            quantities={supplies[name]: Decimal(quantity) for name, quantity in takes},
        )


def _fill_targets(facts):
    for target in facts["targets"]:
        add_target(
            plant=Plant.objects.get(name=target["plant"]),
            container=Container.objects.get(code=target["container"]),
            ready_by=date.fromisoformat(target["ready_by"]),
            request_id=uuid4(),
            **{name: target[name] for name in ("quantity", "assurance", "note")},
        )


def _fill_methods(facts):
    """Raise the newest batches by methods; what was due up to the last day was done in time."""
    for frost, (month, day) in facts["frosts"].items():
        tell_frost(frost=frost, month=month, day=day)
    for fact in facts["methods"]:
        method = copy_starter(key=fact["key"])
        heat = fact["heat_c"] and Decimal(fact["heat_c"])
        for batch in Batch.objects.filter(code__in=fact["batches"]):
            how = Treatment(method=method, wood=method.wood, bottom_heat_c=heat)
            say_how_raised(batch=batch, treatment=how, words=batch.treatment)
    last_day = Operation.objects.latest("date").date
    raised = Batch.objects.filter(method__isnull=False)
    for row in steps_of_batches(raised, last_day, Nursery.current()):
        if row.state == "overdue" and row.step.work != MethodStep.Work.HEAT_OFF:
            seen = {"batch": row.batch, "step": row.step, "on": row.window.first}
            tick_step(**seen, request_id=uuid4())
    place = Place.objects.get(name=facts["bench"]["place"])
    for day, moisture, warm in facts["bench"]["notes"]:
        warmth = warm and Decimal(warm)
        on = date.fromisoformat(day)
        note_bench(place=place, on=on, moisture=moisture, temperature_c=warmth, request_id=uuid4())
