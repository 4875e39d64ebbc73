"""What the database refuses of methods, steps and treatments, each by the rule's name."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from django.utils import timezone

from inventory.models import Batch, BenchNote, Lot, Method, MethodStep, Nursery, Spraying, StepDone
from tests.factories import DAY, NurseryFactory, PlaceFactory, PlantFactory


def method(**more) -> Method:
    return Method.objects.create(**{"name": f"M {uuid4()}", "wood": "hardwood"} | more)


def step(**more) -> MethodStep:
    facts = {"position": 1, "work": "feed", "name": "Feed"} | more
    return MethodStep.objects.create(**{"method": facts.pop("method", None) or method()} | facts)


def done(lot: Lot, **more) -> StepDone:
    """Write that a step was done for the lot's batch."""
    facts = {"batch": lot.movements_in.get(kind="begun").batch, "kind": "done", "date": DAY}
    facts |= {"what": "Feed", "request_id": uuid4()} | more
    return StepDone.objects.create(**{"step": facts.pop("step", None) or step()} | facts)


def bench_note(**more) -> BenchNote:
    return BenchNote.objects.create(place=PlaceFactory(), date=DAY, request_id=uuid4(), **more)


def sprayed(**more) -> Spraying:
    facts = {"product": "Soap", "reentry_hours": 4, "ended_at": timezone.now()} | more
    return Spraying.objects.create(place=PlaceFactory(), request_id=uuid4(), **facts)


def one_step_twice(lot: Lot) -> None:
    fed = step()
    done(lot, step=fed)
    done(lot, step=fed)


def a_step_after_itself(_) -> None:
    fed = step()
    MethodStep.objects.filter(pk=fed.pk).update(after=fed)


def two_steps_in_one_position(_) -> None:
    both = method()
    step(method=both)
    step(method=both)


def a_frost_without_its_day(frost: str) -> Callable[[Lot], object]:
    return lambda _: Nursery.objects.filter(pk=NurseryFactory().pk).update(**{f"{frost}_month": 5})


def a_batch_with(**facts) -> Callable[[Lot], object]:
    return lambda _: Batch.objects.update(**facts)


METHOD_RULES: dict[str, Callable[[Lot], object]] = {
    "inventory_nursery_last_frost_is_a_day": a_frost_without_its_day("last_frost"),
    "inventory_nursery_first_frost_is_a_day": a_frost_without_its_day("first_frost"),
    "inventory_batch_wood_is_known": a_batch_with(wood="drift"),
    "inventory_batch_hormone_form_is_known": a_batch_with(hormone_form="jam"),
    "inventory_batch_strength_is_possible": a_batch_with(hormone_ppm=0),
    "inventory_batch_heat_is_possible": a_batch_with(bottom_heat_c=Decimal(99)),
    "inventory_plant_royalty_is_not_negative": lambda _: PlantFactory(royalty=Decimal(-1)),
    "inventory_plant_right_ends_after_it_was_filed": lambda _: PlantFactory(
        right_filed_on=DAY, patent_expires=DAY - timedelta(1)
    ),
    "inventory_method_wood_is_known": lambda _: method(wood="drift"),
    "inventory_method_has_a_name": lambda _: method(name=""),
    "inventory_methodstep_position_is_its_own": two_steps_in_one_position,
    "inventory_methodstep_days_are_in_order": lambda _: step(from_days=2, to_days=1),
    "inventory_methodstep_calendar_has_its_days": lambda _: step(timing="calendar", first_month=3),
    "inventory_methodstep_follows_another": a_step_after_itself,
    "inventory_methodstep_strength_is_possible": lambda _: step(hormone_ppm=0),
    "inventory_stepdone_is_one_chain": one_step_twice,
    "inventory_stepdone_undoing_follows_what_it_undoes": lambda lot: done(lot, kind="undone"),
    "inventory_stepdone_left_out_says_why": lambda lot: done(lot, kind="skipped"),
    "inventory_benchnote_says_something": lambda _: bench_note(),
    "inventory_spraying_names_its_product": lambda _: sprayed(product=""),
    "inventory_spraying_reentry_is_possible": lambda _: sprayed(reentry_hours=2001),
    "inventory_benchnote_moisture_is_known": lambda _: bench_note(moisture="soggy"),
}
