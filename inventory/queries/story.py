"""A lot's story: what happened to its plants from the cutting to now.

Everything is read from the ledger and from the cost each movement carried; running
sums give the plants and the cost of one plant after each step. Nothing is stored.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import NamedTuple

from django.db.models import Q

from inventory.costing.categories import CATEGORIES
from inventory.models import CostEntry, Count, Lot, Measurement, Movement, Operation, Placement
from inventory.papers import papers_of
from inventory.queries.lineage import lots_behind
from inventory.queries.wording import Lines

FIRST, LAST = (date.min, 0), (date.max, 0)
Moment = tuple[date, int]


class Standing(NamedTuple):
    """What a lot holds after a step: plants, and its cost in each category."""

    plants: int
    costs: tuple[Decimal, ...]

    @property
    def unit_cost(self) -> Decimal | None:
        return sum(self.costs) / self.plants if self.plants else None

    def unit_costs(self) -> dict[str, Decimal]:
        """Return the cost of one plant by category."""
        return {
            category: cost / self.plants
            for category, cost in zip(CATEGORIES, self.costs, strict=True)
            if cost and self.plants
        }


NOTHING = Standing(0, (Decimal(0),) * len(CATEGORIES))


@dataclass
class Happening:
    """One operation as far as it concerns one lot of the line."""

    operation: Operation
    lot: Lot
    movements: list[Movement] = field(default_factory=list)
    costs: list[CostEntry] = field(default_factory=list)
    placements: list[Placement] = field(default_factory=list)
    counts: list[Count] = field(default_factory=list)
    measurements: list[Measurement] = field(default_factory=list)
    before: Standing = NOTHING
    after: Standing = NOTHING
    paper: object = None

    @property
    def is_undone(self) -> bool:
        return self.operation.is_undone

    @property
    def lines(self) -> Lines:
        rows = (self.movements, self.costs, self.placements, self.counts, self.measurements)
        return Lines(self.operation, *rows, self.paper, about=self.lot)


class Story:
    """The happenings of a lot and of the lots its plants came through, in order.

    What plants cost is that of the categories `counted`.
    """

    def __init__(self, lot: Lot, counted: tuple[str, ...] = CATEGORIES):
        self.lot, self.counted = lot, counted
        self._lots = lots_behind([lot.pk])
        self._rows = {model: list(_rows(model, self._lots)) for model in _OF_LOTS}
        self._until = self._last_moments()

    @cached_property
    def happenings(self) -> list[Happening]:
        """What happened, first to last; of an earlier lot only until its plants left it."""
        found = [
            happening
            for _, rows in sorted(self._by_operation().items())
            for happening in self._happenings_of(rows)
        ]
        self._follow(found)
        papers = papers_of(row.operation.pk for row in found if row.operation.kind in SALE_KINDS)
        for row in found:
            row.paper = papers.get(row.operation.pk)
        return found

    @cached_property
    def chapters(self) -> list[tuple[Lot, list[Happening]]]:
        """The happenings lot by lot, in the order in which plants left the lots for this one."""
        by_lot = defaultdict(list)
        for happening in self.happenings:
            by_lot[happening.lot.pk].append(happening)
        in_order = sorted(by_lot, key=lambda lot: self._until[lot])
        return [(by_lot[lot][0].lot, by_lot[lot]) for lot in in_order]

    @cached_property
    def path(self) -> list[Movement]:
        """The movements by which most of the plants came, first to last."""
        way, lot, seen, until = [], self.lot.pk, {self.lot.pk}, LAST
        while coming := self._coming(lot, until, seen):
            main = max(coming, key=lambda row: row.quantity)
            way.append(main)
            lot, until = main.from_lot_id, _moment(main)
            seen.add(lot)
        return way[::-1]

    def _coming(self, lot, until, seen) -> list[Movement]:
        """Return the movements into a lot, up to a moment, from lots not seen yet."""
        return [
            row
            for row in self._rows[Movement]
            if row.kind == Movement.Kind.MOVED
            and row.to_lot_id == lot
            and row.from_lot_id not in seen
            and _moment(row) <= until
            and _in_force(row)
        ]

    def _last_moments(self) -> dict[int, Moment]:
        """Return for each lot the last moment its plants went towards the story's lot."""
        until = {self.lot.pk: LAST}
        moved = [
            row
            for row in self._rows[Movement]
            if row.kind == Movement.Kind.MOVED and _in_force(row)
        ]
        # Newest first, so that the first way found from a lot is its last.
        for row in sorted(moved, key=_moment, reverse=True):
            if _moment(row) <= until.get(row.to_lot_id, FIRST):
                until.setdefault(row.from_lot_id, _moment(row))
        return until

    def _by_operation(self) -> dict[Moment, list]:
        grouped = defaultdict(list)
        for rows in self._rows.values():
            for row in rows:
                if any(self._concerns(row, lot) for lot in _lots_of(row)):
                    grouped[_moment(row)].append(row)
        return grouped

    def _concerns(self, row, lot) -> bool:
        return lot in self._until and _moment(row) <= self._until[lot]

    def _happenings_of(self, rows) -> list[Happening]:
        """Divide an operation's rows by the lot they tell of: where plants go within the
        line, by the lot that receives them."""
        told: dict[int, Happening] = {}
        for row in sorted(rows, key=lambda row: _told_of(row, self._concerns)[0]):
            _, lot = _told_of(row, self._concerns)
            if isinstance(row, Movement) and row.from_lot_id == lot.pk:
                lot = _receiver(row, rows, self._concerns) or lot
            happening = told.setdefault(lot.pk, Happening(row.operation, lot))
            getattr(happening, _OF_LOTS[type(row)].name).append(row)
        return list(told.values())

    def _follow(self, happenings) -> None:
        """Carry plants and cost through the happenings and note what each left behind."""
        standing = defaultdict(lambda: NOTHING)
        for happening in happenings:
            happening.before = standing[happening.lot.pk]
            for row in happening.movements:
                if _in_force(row):
                    _carry(standing, row, self.counted)
            for entry in happening.costs:
                is_counted = entry.category in self.counted
                if is_counted and _in_force(entry) and not hasattr(entry, "uncarried"):
                    standing[entry.lot_id] = _charged(standing[entry.lot_id], entry)
            happening.after = standing[happening.lot.pk]


class OfLots(NamedTuple):
    """How rows of one kind are found by lot, and where a happening keeps them."""

    name: str
    keys: tuple[str, ...]
    related: tuple[str, ...]


_LOTS = ("from_lot__plant", "from_lot__container", "to_lot__plant", "to_lot__container")
_OF_LOTS = {
    Movement: OfLots("movements", ("from_lot", "to_lot"), (*_LOTS, "batch", "cause", "carried")),
    CostEntry: OfLots("costs", ("lot",), ("lot__container", "uncarried")),
    Placement: OfLots("placements", ("lot",), ("lot__container", "place")),
    Count: OfLots("counts", ("lot",), ("lot__container",)),
    Measurement: OfLots("measurements", ("lot",), ("lot__container", "lot__plant")),
}
SALE_KINDS = (Operation.Kind.SALE, Operation.Kind.RETURN)


def _rows(model, lots):
    how = _OF_LOTS[model]
    which = Q()
    for key in how.keys:
        which |= Q(**{f"{key}__in": lots})
    return (
        model.objects.filter(which)
        .exclude(operation__kind=Operation.Kind.UNDO)
        .select_related("operation__reversed_by", *how.related)
        .order_by("date", "operation_id", "pk")
    )


def _moment(row) -> Moment:
    return row.date, row.operation_id


def _in_force(row) -> bool:
    return not row.operation.is_undone


def _lots_of(row) -> list[int]:
    if isinstance(row, Movement):
        return [lot for lot in (row.to_lot_id, row.from_lot_id) if lot]
    return [row.lot_id]


def _told_of(row, concerns) -> tuple[int, Lot]:
    """Return an order and the lot a row tells of: a receiving lot of the line comes first."""
    if not isinstance(row, Movement):
        return 2, row.lot
    if row.to_lot_id and concerns(row, row.to_lot_id):
        return 0, row.to_lot
    return 1, row.from_lot


def _receiver(loss, rows, concerns) -> Lot | None:
    """Return the lot that received plants of the same operation from where these left."""
    for row in rows:
        if isinstance(row, Movement) and row.from_lot_id == loss.from_lot_id:
            order, lot = _told_of(row, concerns)
            if order == 0:
                return lot
    return None


def _carry(standing, row, counted):
    carried = tuple(
        getattr(row.carried, f"cost_{category}") if category in counted else Decimal(0)
        for category in CATEGORIES
    )
    for lot, sign in ((row.from_lot_id, -1), (row.to_lot_id, 1)):
        if lot:
            before = standing[lot]
            standing[lot] = Standing(
                before.plants + sign * row.quantity,
                tuple(a + sign * b for a, b in zip(before.costs, carried, strict=True)),
            )


def _charged(before, entry):
    at = CATEGORIES.index(entry.category)
    costs = list(before.costs)
    costs[at] += entry.amount
    return Standing(before.plants, tuple(costs))
