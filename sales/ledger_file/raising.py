"""How plants are raised, in the ledger file: methods, treatments, steps done, benches.

A `method` is named in `treatment`, with its wood in `category`; a `method_step` names its
method in `treatment`, its place in it in `quantity`, the work in `category` and itself in
`cause`. What more is known of either stands in `note` as JSON. A row `batch` says
one fact of it: its name in `category`, what it is in `note`. A `step_done` of a `batch` is done,
skipped or undone by `category`, with what it was called in `cause` and the reason in `note`. A
`bench_note` has the moisture in `category` and degrees Celsius in `amount`. A `spraying` has the
re-entry hours in `quantity` and the rest as JSON. A `frost` is a day of the year in `note`, as
05-15. All are written only where there are any.
"""

import json
from collections.abc import Iterator
from datetime import date

from django.core.exceptions import ValidationError
from django.db.models import Min, Q

from inventory.models import (
    Batch,
    BenchNote,
    Method,
    MethodStep,
    Nursery,
    Person,
    Spraying,
)
from inventory.operations.bench import note_bench
from inventory.operations.methods import add_method, edit_step
from inventory.operations.nursery import tell_frost
from inventory.operations.spraying import spray
from inventory.operations.steps import tick_step
from inventory.queries.steps_done import done_of
from inventory.treatment import FIELDS
from sales.ledger_file.book import ImportBook
from sales.ledger_file.rows import Row

OF_A_METHOD = ("source", "note", "is_removed")
OF_A_STEP = ("timing", "from_days", "to_days", "first_month", "first_day", "last_month", "last_day")
OF_A_STEP += ("hormone_form", "hormone_ppm", "note", "source", "is_removed")
OF_A_BATCH = ("method", *FIELDS)
OF_A_SPRAYING = ("product", "registration", "amount", "crop", "applicator")
FROSTS = ("last_frost", "first_frost")
CHUNK = 500


def raising_facts(first: date) -> Iterator[dict]:
    """Yield on the first day the frosts and the methods."""
    for row in (*_frost_rows(), *_method_rows()):
        yield {"date": first} | row


def batch_rows() -> Iterator[dict]:
    """Yield the facts of each batch behind the entry that began it."""
    begun = Batch.objects.annotate(
        begun=Min("movements__date", filter=Q(movements__carried__isnull=False))
    ).filter(begun__isnull=False)
    told = Q(method__isnull=False) | Q(hormone_ppm__isnull=False) | Q(taken_by__isnull=False)
    told |= Q(bottom_heat_c__isnull=False)
    for name in ("wood", "hormone", "hormone_form", "medium"):
        told |= ~Q(**{name: ""})
    rows = begun.filter(told).select_related("method", "taken_by").order_by("begun", "pk")
    for batch in rows.iterator(chunk_size=CHUNK):
        for name, value in _told(batch, OF_A_BATCH):
            yield {
                "date": batch.begun,
                "event": "batch",
                "batch": batch.code,
                "category": name,
                "note": str(value),
            }


def step_rows() -> Iterator[dict]:
    """Yield each step that was done for a batch or left out, and holds."""
    rows = done_of(Batch.objects.filter(movements__carried__isnull=False))
    rows = rows.select_related("batch", "step__method").annotate(
        begun=Min("batch__movements__date")
    )
    days = sorted(rows, key=lambda row: (max(row.date, row.begun), row.pk))
    for row in days:
        cells = {"since": row.date.isoformat()} if row.date < row.begun else {}
        yield {
            "date": max(row.date, row.begun),
            "event": "step_done",
            "batch": row.batch.code,
            "treatment": row.step.method.name,
            "quantity": row.step.position,
            "category": row.kind,
            "cause": row.what,
            "note": row.reason,
        } | cells


def bench_rows() -> Iterator[dict]:
    """Yield what was noted of heated benches and not taken back."""
    notes = BenchNote.objects.filter(is_removed=False).select_related("place")
    for note in notes.order_by("date", "pk").iterator(chunk_size=CHUNK):
        warm = {} if note.temperature_c is None else {"amount": note.temperature_c}
        yield {
            "date": note.date,
            "event": "bench_note",
            "place": note.place.name,
            "category": note.moisture,
        } | warm


def spraying_rows() -> Iterator[dict]:
    """Yield the uses of pesticides that were not taken back."""
    rows = Spraying.objects.filter(is_removed=False).select_related("place")
    for row in rows.order_by("ended_at", "pk").iterator(chunk_size=CHUNK):
        yield {
            "date": row.ended_at.date(),
            "event": "spraying",
            "place": row.place.name,
            "quantity": row.reentry_hours,
            "note": _packed(row, OF_A_SPRAYING, {"ended_at": row.ended_at.isoformat()}),
        }


def _frost_rows():
    nursery = Nursery.current()
    for frost in FROSTS:
        month, day = (getattr(nursery, f"{frost}_{part}") for part in ("month", "day"))
        if month:
            yield {"event": "frost", "category": frost, "note": f"{month:02}-{day:02}"}


def _method_rows():
    for method in Method.objects.select_related("plant").order_by("pk"):
        plant = {"plant": method.plant.name} if method.plant else {}
        facts = _packed(method, OF_A_METHOD)
        named = {"treatment": method.name, "category": method.wood}
        yield {"event": "method", **named, **plant, "note": facts}
        for step in method.steps.select_related("after").order_by("position"):
            more = {"after": step.after.position} if step.after else {}
            yield {
                "event": "method_step",
                "treatment": method.name,
                "quantity": step.position,
                "category": step.work,
                "cause": step.name,
                "note": _packed(step, OF_A_STEP, more),
            }


def _told(row, names):
    """Yield each fact that is not what it is unless said."""
    for name in names:
        value = getattr(row, name)
        if value != row._meta.get_field(name).get_default() and value is not None:
            yield name, value


def _packed(row, names, more=None):
    facts = dict(_told(row, names)) | (more or {})
    return json.dumps(facts, ensure_ascii=False, sort_keys=True) if facts else ""


class RaisingReader:
    """Turns rows into methods, facts of batches and plants, and what was done."""

    def __init__(self, book: ImportBook):
        self.book = book
        self.events = {
            "frost": self.frost,
            "method": self.method,
            "method_step": self.method_step,
            "batch": self.batch,
            "step_done": self.step_done,
            "bench_note": self.bench_note,
            "spraying": self.spraying,
        }

    def frost(self, row: Row) -> None:
        """Set the day of the year about which a frost usually comes."""
        frost = row.choice("category", FROSTS)
        month, _, day = row.needed("note", "a day of the year, as 05-15").partition("-")
        try:
            date(2000, int(month), int(day))
        except ValueError:
            raise row.error("note", "write month and day, as 05-15.") from None
        tell_frost(frost=frost, month=int(month), day=int(day))

    def method(self, row: Row) -> None:
        """Write a method down."""
        name = row.text("plant")
        facts = _unpacked(row, Method, OF_A_METHOD)
        is_removed = facts.pop("is_removed", False)
        method = add_method(
            name=row.needed("treatment", "the method's name"),
            wood=_value(row, Method, "wood", row.text("category"), "category"),
            plant=self.book.plant(name) if name else None,
            **facts,
        )
        if is_removed:
            Method.objects.filter(pk=method.pk).update(is_removed=True)

    def method_step(self, row: Row) -> None:
        """Write a step of a method down, or once more with the step it comes after."""
        method = self._method(row)
        after = _json(row).get("after")
        facts = _unpacked(row, MethodStep, OF_A_STEP)
        facts |= {
            "work": _value(row, MethodStep, "work", row.text("category"), "category"),
            "name": _value(row, MethodStep, "name", row.text("cause"), "cause"),
        }
        step = MethodStep(method=method, position=row.quantity(), **facts)
        if after is not None:
            # It may stand further down; a place is kept for it until its own row.
            step.after = method.steps.filter(position=after).first() or MethodStep.objects.create(
                method=method, position=after, work="other", name=str(after)
            )
        there = method.steps.filter(position=step.position).first()
        if there:
            edit_step(step=there, after=step.after, **facts)
        else:
            step.save()

    def batch(self, row: Row) -> None:
        """Give a batch a fact."""
        batch, name = self._batch(row), row.choice("category", OF_A_BATCH)
        text = row.needed("note", "what it is")
        if name == "method":
            batch.method = self._method(row, text)
        elif name == "taken_by":
            batch.taken_by = Person.objects.filter(name=text).first()
            if batch.taken_by is None:
                raise row.error("note", f"there is no person {text}; name one in an earlier row.")
        else:
            _set(row, batch, name, text)
            return
        batch.save(update_fields=[name])

    def step_done(self, row: Row) -> None:
        """Note that a step was done for a batch, or left out."""
        batch, method = self._batch(row), self._method(row)
        step = method.steps.filter(position=row.quantity()).first()
        if step is None:
            raise row.error("quantity", f"{method} has no step {row.text('quantity')}.")
        # A batch may be raised by another method since.
        batch.method = method
        is_skipped = row.choice("category", ("done", "skipped")) == "skipped"
        if is_skipped:
            row.needed("note", "why it was left out")
        step.name = row.text("cause") or step.name
        tick_step(
            batch=batch,
            step=step,
            on=row.day("since", "its day") if row.text("since") else row.date,
            skipped_for=row.text("note") if is_skipped else "",
            request_id=row.request_id,
        )

    def bench_note(self, row: Row) -> None:
        """Note how a bench was found."""
        note_bench(
            place=self.book.place_named(row.needed("place", "the bench")),
            on=row.date,
            moisture=row.choice("category", ("", *BenchNote.Moisture.values)),
            temperature_c=row.number("amount") if row.text("amount") else None,
            request_id=row.request_id,
        )

    def spraying(self, row: Row) -> None:
        """Note that a pesticide was used at a place."""
        facts = _unpacked(row, Spraying, OF_A_SPRAYING)
        ended_at = _value(row, Spraying, "ended_at", _json(row).get("ended_at", ""))
        spray(
            place=self.book.place_named(row.needed("place", "where it was")),
            product=facts.pop("product", ""),
            ended_at=ended_at,
            reentry_hours=row.quantity(least=0),
            request_id=row.request_id,
            **facts,
        )

    def _batch(self, row):
        code = row.needed("batch", "the code of a batch")
        batch = Batch.objects.filter(code=code).first()
        if batch is None:
            raise row.error("batch", f"there is no batch {code}; begin it in an earlier row.")
        return batch

    def _method(self, row, name=""):
        name = name or row.needed("treatment", "the method's name")
        method = Method.objects.filter(name=name).first()
        if method is None:
            raise row.error("treatment", f"there is no method {name}; name it in an earlier row.")
        return method


def _set(row, thing, name, text):
    setattr(thing, name, _value(row, type(thing), name, text))
    thing.save(update_fields=[name])


def _json(row) -> dict:
    try:
        facts = json.loads(row.text("note") or "{}")
    except ValueError:
        facts = None
    if not isinstance(facts, dict):
        raise row.error("note", 'write its facts as JSON, such as {"from_days": 14}.')
    return facts


def _unpacked(row, model, names) -> dict:
    facts = _json(row)
    return {name: _value(row, model, name, facts[name]) for name in names if name in facts}


def _value(row, model, name, value, column="note"):
    """Return a value that the field of that name takes, or raise RowError."""
    try:
        return model._meta.get_field(name).clean(value, None)
    except ValidationError as error:
        raise row.error(column, f"“{value}” is no {name}: {' '.join(error.messages)}") from None
