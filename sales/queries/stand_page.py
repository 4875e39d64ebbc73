"""What the pages of stand days show beside the figures of a day."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q
from django.urls import reverse

from inventory.models import Lot, LotBalance
from inventory.queries.search import name_matches
from sales.models import Document, StandDay, StandStep
from sales.queries.promises import promised, ready_by
from sales.queries.stand_day import StandFigures, figures_of_days

MOST_LOTS = 30


@dataclass(frozen=True)
class StepLine:
    """One step of a day in words, and where it is undone while it can be."""

    step: StandStep
    words: str
    undo_url: str = ""


def lots_to_put_out(on: date, find: str = "", chosen: set[int] = frozenset()) -> list[tuple]:
    """Return (lot, how many are free) of lots that can go out, those chosen first.

    `find` is part of a plant's name, or of a lot's code.
    """
    rows = LotBalance.objects.filter(on_hand__gt=0, lot__container__kind="sale")
    rows = rows.filter(ready_by(on, "lot"))
    if find:
        rows = rows.filter(
            Q(lot__code__icontains=find) | name_matches(find, "lot__plant__") | Q(pk__in=chosen)
        )
    rows = rows.select_related("lot__plant", "lot__container", "place")
    rows = list(rows.order_by("lot__plant__search_key", "lot__began_on", "pk"))
    left = promised(on, {row.lot.plant_id for row in rows}).allocation.left
    found = [(row.lot, left.get(row.pk, row.on_hand)) for row in rows]
    found = [(lot, free) for lot, free in found if free > 0 or lot.pk in chosen]
    return sorted(found, key=lambda row: row[0].pk not in chosen)[: MOST_LOTS + len(chosen)]


def steps_of(day: StandDay) -> list[StepLine]:
    """Return what was done on a day beside selling, newest first, undone steps left out."""
    steps = day.steps.in_force().select_related("entered_by", "count")
    steps = list(steps.prefetch_related("plants__lot__plant", "plants__lot__container", "money"))
    lines = []
    for step in reversed(steps):
        may_undo = day.is_open or step.kind == StandStep.Kind.CLOSED
        only = step.kind != StandStep.Kind.OPENED or len(steps) == 1
        undo = reverse("sales:undo-stand-step", args=[step.pk]) if may_undo and only else ""
        lines.append(StepLine(step, step_words(step), undo))
    return lines


def step_words(step: StandStep) -> str:
    """Say what a step did: "Put out 12 plants of 2 lots"."""
    if step.kind == StandStep.Kind.MONEY:
        return next((row.get_kind_display() for row in step.money.all()), "").capitalize()
    if step.kind == StandStep.Kind.CLOSED:
        return "Closed"
    plants = list(step.plants.all())
    number = sum(row.quantity for row in plants)
    lots = f"{len(plants)} lot{'s' * (len(plants) > 1)}"
    moved = f"{abs(number)} plant{'s' * (abs(number) != 1)} of {lots}"
    if step.kind == StandStep.Kind.OPENED:
        return f"Opened with {moved}" if plants else "Opened"
    return f"Put out {moved}" if number > 0 else f"Brought back {moved}"


def left_on(day: StandDay | None) -> dict[Lot, int]:
    """Return what was left at a stand when it closed."""
    closing = day and day.steps.in_force().filter(kind=StandStep.Kind.CLOSED).first()
    if not closing:
        return {}
    rows = closing.plants.select_related("lot__plant", "lot__container")
    return {row.lot: -row.quantity for row in rows}


def documents_of(day: StandDay) -> list[Document]:
    """Return the sales of a day that were not undone, newest first."""
    rows = Document.objects.standing().filter(stand_sale__day=day)
    return list(rows.select_related("buyer").order_by("-pk"))


def last_day() -> StandDay | None:
    """Return the stand day that closed last."""
    closed = StandDay.objects.filter(state=StandDay.State.CLOSED)
    return closed.select_related("place").order_by("-date", "-pk").first()


def stand_days(on: date | None = None) -> list[StandFigures]:
    """Return the figures of all stand days up to a day, newest first, undone ones left out."""
    days = StandDay.objects.exclude(state=StandDay.State.UNDONE).select_related("place")
    return figures_of_days(days.filter(date__lte=on) if on else days)


@dataclass(frozen=True)
class Shortage:
    """What one unattended stand lacked: `worth` of plants taken, `not_paid` of it."""

    row: StandFigures
    worth: Decimal
    not_paid: Decimal

    @property
    def share(self) -> Decimal:
        """The share of the plants' worth that was not paid."""
        return self.not_paid / self.worth if self.worth else Decimal(0)


def shortages(rows: list[StandFigures]) -> list[Shortage]:
    """Return what was not paid at each unattended stand that closed, oldest first."""
    alone = [row for row in reversed(rows) if row.closing and not row.day.attended]
    return [Shortage(row, row.cash_sales, row.not_paid) for row in alone]
