"""Methods: which there are, which is usual for a plant, when it is time to stick by them."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Q, QuerySet

from inventory.models import Batch, Method, MethodStep, Nursery, Plant, Wood
from inventory.queries.due_steps import landmarks_of
from inventory.timing import DAYS, Window, span_of, windows

WOODS = {
    Batch.Kind.STICK: (Wood.SOFTWOOD, Wood.SEMI, Wood.HARDWOOD),
    Batch.Kind.SOW: (Wood.SEED,),
    Batch.Kind.DIVIDE: (Wood.DIVISION,),
}
STICK = MethodStep.Work.STICK


@dataclass(frozen=True)
class ToStick:
    """A method whose time to take and stick has come, or soon will."""

    step: MethodStep
    window: Window
    begun: int

    @property
    def method(self) -> Method:
        return self.step.method


def methods_of(kind: str = "", plant: Plant | None = None) -> QuerySet:
    """Return the methods in use for a kind of batch and a plant: its own, and those for all."""
    rows = Method.objects.filter(is_removed=False).select_related("plant")
    if kind:
        rows = rows.filter(wood__in=WOODS.get(kind, ()))
    if plant:
        rows = rows.filter(Q(plant=plant) | Q(plant=None))
    return rows


def listed_methods() -> QuerySet:
    """Return the methods in use, each with its number of steps and batches."""
    in_use = Count("steps", filter=Q(steps__is_removed=False), distinct=True)
    batches = Count("batches", distinct=True)
    return methods_of().annotate(step_count=in_use, batch_count=batches)


def usual_method(plant: Plant, kind: str, on: date, nursery: Nursery) -> Method | None:
    """Return the plant's own method whose time it is, else the one it was raised by last.

    A plant that was never raised by one, and has a single one of its own, takes that.
    """
    own = [row for row in methods_of(kind, plant) if row.plant_id == plant.pk]
    now = {row.step.method_id for row in to_stick(on, nursery) if row.window.first <= on}
    timely = [row for row in own if row.pk in now]
    if timely:
        return timely[0]
    last = Batch.objects.filter(plant=plant, kind=kind, method__is_removed=False)
    last = last.select_related("method").order_by("-started_on", "-pk").first()
    if last:
        return last.method
    return own[0] if len(own) == 1 else None


def example_of(
    method: Method, on: date, nursery: Nursery
) -> tuple[date, list[tuple[MethodStep, Window | None]]]:
    """Return the day on which a batch by the method would next begin, and its steps in order.

    Steps of no known time come last.
    """
    rows = method.steps.filter(is_removed=False)
    steps = list(rows.select_related("after").order_by("position"))
    landmarks = landmarks_of(nursery)
    spans = [span_of(step, landmarks) for step in steps if step.work == STICK]
    sticking = next((span.next_from(on) for span in spans if span), None)
    begun_on = max(on, sticking.first) if sticking else on
    times = windows(steps, begun_on, landmarks)
    if sticking:
        times |= {step.pk: sticking for step in steps if step.work == STICK}
    never = (1, date.max)
    in_order = sorted(
        steps,
        key=lambda step: (0, times[step.pk].first) if times[step.pk] else never,
    )
    return begun_on, [(step, times[step.pk]) for step in in_order]


def to_stick(on: date, nursery: Nursery, *, weeks: int = 0) -> list[ToStick]:
    """Return the methods by which it is time to stick, or will be within some weeks."""
    steps = MethodStep.objects.filter(work=STICK, is_removed=False, method__is_removed=False)
    landmarks = landmarks_of(nursery)
    until = on + timedelta(weeks=weeks)
    found = []
    for step in steps.exclude(timing=DAYS).select_related("method__plant"):
        span = span_of(step, landmarks)
        window = span and span.next_from(on)
        if window and window.first <= until:
            found.append((step, window))
    begun = _begun([step for step, _ in found])
    rows = [
        ToStick(step, window, sum(window.first <= day <= on for day in begun[step.method_id]))
        for step, window in found
    ]
    return sorted(rows, key=lambda row: (row.window.first, row.method.name))


def _begun(steps) -> dict[int, list[date]]:
    days = {step.method_id: [] for step in steps}
    begun = Batch.objects.filter(method__in=days, movements__carried__isnull=False).distinct()
    for method, day in begun.values_list("method", "started_on") if days else ():
        days[method].append(day)
    return days
