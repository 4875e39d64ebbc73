"""What is to come among the plants, as events of a calendar."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.urls import reverse

from inventory.models import LotBalance, MethodStep, Movement, Nursery
from inventory.queries.due_steps import due_steps
from inventory.queries.methods import to_stick
from inventory.queries.plans import Planner, targets
from inventory.queries.to_do import WEEKS_TO_ROOT, unrooted_trays, walk_days, walk_due
from inventory.targets import by_words
from nursery.calendars import Event
from nursery.templatetags.nursery_tags import plain

# A calendar keeps for a while what has passed.
KEPT = timedelta(days=60)
A_WEEK = timedelta(days=6)
WEEKS_AHEAD = 52
Work = MethodStep.Work


def ready_days(on: date) -> Iterable[Event]:
    """Tell from which days lots are ready to sell, those of one plant and size together."""
    rows = (
        LotBalance.objects.filter(on_hand__gt=0, lot__ready_on__gte=on - KEPT)
        .order_by("lot")
        .values_list(
            *("lot__ready_on", "lot__plant__name", "lot__container__code"),
            *("lot", "lot__code", "on_hand", "place__name"),
        )
    )
    return _together(rows, "ready", "Ready")


def counts_due(on: date) -> Iterable[Event]:
    """Tell when to count what has rooted, trays of one plant stuck on one day together."""
    weeks = timedelta(weeks=WEEKS_TO_ROOT)
    rows = (
        unrooted_trays()
        .exclude(Exists(counted_by_method()))
        .filter(began_on__gte=on - KEPT - weeks)
        .order_by("pk")
        .values_list(
            *("began_on", "plant__name", "container__code"),
            *("pk", "code", "balance__on_hand", "balance__place__name"),
        )
    )
    due = ((began_on + weeks, *rest) for began_on, *rest in rows)
    return _together(due, "count", "Count the rooted")


def steps_due(on: date) -> Iterable[Event]:
    """Tell when it is time for the steps of batches, and when to stick by which method."""
    nursery = Nursery.current()
    for row in due_steps(on, nursery, weeks=WEEKS_AHEAD):
        place = f", {row.place}" if row.place else ""
        lots = "\n".join(
            _stands(lot.code, lot.balance.on_hand, lot.balance.place) for lot in row.lots
        )
        yield Event(
            # It stays the same event when its days change.
            key=f"step-{row.batch.pk}-{row.step.pk}",
            title=f"{row.step.name}: {row.batch}, {row.batch.plant}{place}",
            first=row.window.first,
            last=row.window.last,
            description="\n".join(filter(None, (row.step.note, lots))),
            path=reverse("inventory:batch-step", args=[row.batch.pk, row.step.pk]),
            categories=("Method",),
        )
    for row in to_stick(on, nursery, weeks=WEEKS_AHEAD):
        plant = f", {row.method.plant}" if row.method.plant else ""
        yield Event(
            key=f"stick-{row.step.pk}-{row.window.first.year}",
            title=f"{row.step.name}: {row.method}{plant}",
            first=row.window.first,
            last=row.window.last,
            description=row.step.note,
            path=reverse("inventory:method", args=[row.method.pk]),
            categories=("Stick",),
        )


def targets_to_stick(on: date) -> Iterable[Event]:
    """Tell in which week to stick for each target; an estimate that moves with the record."""
    rows = list(targets())
    for plan in Planner(on).plans(rows) if rows else ():
        if plan.is_to_stick:
            wanted = plan.target
            yield Event(
                key=f"target-{wanted.pk}",
                title=f"Stick about {plain(plan.answer.to_stick)} {wanted.plant}",
                first=plan.week,
                last=plan.week + A_WEEK,
                description=f"For {plain(wanted.quantity)} in {wanted.container} "
                f"by {by_words(wanted.ready_by)}.",
                path=reverse("sales:target", args=[wanted.pk]),
                categories=("Stick",),
            )


def counted_by_method() -> QuerySet:
    """Return the beginnings in a lot whose method says itself when they are counted."""
    counting = Q(batch__method__steps__work=Work.ROOT_COUNT) & Q(
        batch__method__steps__is_removed=False
    )
    return Movement.objects.filter(counting, to_lot=OuterRef("pk"))


def walks(on: date) -> Iterable[Event]:
    """Tell when to walk the houses: the walk that is due now, and the next ones."""
    nursery = Nursery.current()
    due = walk_due(on, nursery)
    coming = LotBalance.objects.filter(on_hand__gt=0).exists()
    for is_spring, first in walk_days(on, nursery):
        if (due and due.since == first) or (coming and first > on):
            yield Event(
                key=f"walk-{'spring' if is_spring else 'winter'}-{first.year}",
                title="Walk the winter losses" if is_spring else "Count before winter",
                first=first,
                last=first + A_WEEK,
                description="One sheet for each place.",
                path=reverse("inventory:write-off"),
                categories=("Walk",),
            )


def _together(rows, kind, words):
    """Make one event of the lots of a plant and size on a day."""
    found = defaultdict(list)
    for day, plant, container, *lot in rows:
        found[day, plant, container].append(lot)
    for (day, plant, container), lots in found.items():
        first = lots[0][0]
        plants = plain(sum(on_hand for _, _, on_hand, _ in lots))
        yield Event(
            # Named by its first lot, it stays the same event when its day changes.
            key=f"{kind}-{first}",
            title=f"{words}: {plants} {plant}, {container}",
            first=day,
            last=day,
            description="\n".join(_stands(*lot[1:]) for lot in lots),
            path=reverse("inventory:lot", args=[first]),
            categories=(words,),
        )


def _stands(code, on_hand, place):
    return f"{plain(on_hand)} in lot {code}, {place or 'no place given'}"
