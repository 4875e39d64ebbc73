"""What the verbs about methods, steps, sprayings, benches, pictures and old stock are asked."""

from datetime import UTC, datetime, time

from inventory import operations as grow
from inventory.models import (
    Batch,
    BenchNote,
    CalendarLink,
    Method,
    MethodStep,
    Photo,
    Place,
    Plant,
    Spraying,
    StepDone,
    Target,
)
from inventory.starter_methods import STARTERS
from inventory.treatment import Treatment
from tests.fuzz.full_house import picture
from tests.fuzz.world import entry, row

WOODS = ("softwood", "hardwood", "semihard", "")


def _standing(world) -> grow.Standing:
    plant = world.one(Plant).name if world.yes else world.words
    return grow.Standing(
        plant,
        world.size(),
        world.number,
        began_on=world.day,
        transplanted_on=world.among(None, world.day),
        place=world.words,
        lot=world.among("", world.words),
        amount=world.among(None, world.amount),
        price=world.among(None, world.amount),
        note=world.words,
    )


def _method(world) -> dict:
    return {"name": world.words or "Heel cuttings", "wood": world.among(*WOODS)}


def _step(world) -> dict:
    first = world.among(0, 5, world.number)
    return {
        "work": world.among(*MethodStep.Work.values, "dance"),
        "name": world.words or "Feed",
        "after": world.among(None, world.one(MethodStep)),
        "from_days": first,
        "to_days": world.among(first, 10, world.number),
        "timing": world.among("days", "days", *MethodStep.Timing.values),
        "note": world.words,
    }


def _done(world) -> dict:
    batch = world.one(Batch, Batch.objects.filter(method__isnull=False)) or world.one(Batch)
    return {"batch": batch, "step": world.one(MethodStep), "on": world.day}


def _moment(world) -> datetime:
    return datetime.combine(world.day, time(9, 30), UTC)


def _target(world) -> dict:
    return {
        "plant": world.one(Plant),
        "container": world.size(),
        "quantity": world.number,
        "ready_by": world.day,
        "note": world.words,
    }


RAISING = {
    grow.bring_in: lambda w: {
        "rows": [_standing(w) for _ in range(w.among(1, 1, 2, 0))],
        **entry(w),
    },
    grow.add_method: lambda w: {**_method(w), "note": w.words, "plant": w.maybe(Plant)},
    grow.edit_method: lambda w: {"method": w.one(Method), **_method(w)},
    grow.copy_starter: lambda w: {"key": w.among(*STARTERS)},
    grow.copy_method: lambda w: {
        "method": w.one(Method),
        "name": w.words or "Copy",
        "plant": w.maybe(Plant),
    },
    grow.remove_method: row("method", Method),
    grow.put_method_back: row("method", Method),
    grow.add_step: lambda w: {"method": w.one(Method), **_step(w)},
    grow.edit_step: lambda w: {"step": w.one(MethodStep), **_step(w)},
    grow.remove_step: row("step", MethodStep),
    grow.put_step_back: row("step", MethodStep),
    grow.say_how_raised: lambda w: {
        "batch": w.one(Batch),
        "treatment": Treatment(
            method=w.maybe(Method),
            wood=w.among(*WOODS),
            hormone=w.words,
            hormone_ppm=w.among(None, w.number),
            bottom_heat_c=w.among(None, w.amount),
        ),
        "words": w.words,
    },
    grow.tick_step: lambda w: {**_done(w), "skipped_for": w.among("", w.words)},
    grow.tick_steps: lambda w: {
        "steps": [(w.one(Batch), w.one(MethodStep)) for _ in range(w.among(1, 2))],
        "on": w.day,
    },
    grow.untick_step: row("done", StepDone),
    grow.untick_steps: lambda w: {"done": [w.one(StepDone)] if StepDone.objects.exists() else []},
    grow.spray: lambda w: {
        "place": w.one(Place),
        "product": w.words,
        "ended_at": _moment(w),
        "reentry_hours": w.among(12, 48, w.number),
        "registration": w.words,
        "applicator": w.words,
    },
    grow.remove_spraying: row("spraying", Spraying),
    grow.put_spraying_back: row("spraying", Spraying),
    grow.note_bench: lambda w: {
        "place": w.one(Place),
        "on": w.day,
        "moisture": w.among("", "dry", "moist", "wet", "swamp"),
        "temperature_c": w.among(None, w.amount),
    },
    grow.remove_bench_note: row("note", BenchNote),
    grow.put_bench_note_back: row("note", BenchNote),
    grow.add_photo: lambda w: {
        "plant": w.one(Plant),
        "lot": w.lot,
        "content": w.among(b"", b"\xff\xd8\xff no picture", picture()),
    },
    grow.remove_photo: row("photo", Photo),
    grow.put_photo_back: row("photo", Photo),
    grow.change_target: lambda w: {
        "target": w.one(Target),
        "assurance": w.among(*Target.Assurance.values, w.number),
        **_target(w),
    },
    grow.remove_target: row("target", Target),
    grow.put_target_back: row("target", Target),
    grow.make_calendar_link: lambda w: {"by": w.by},
    grow.renew_calendar_link: row("link", CalendarLink),
    grow.stop_calendar_link: row("link", CalendarLink),
    grow.restart_calendar_link: row("link", CalendarLink),
}
