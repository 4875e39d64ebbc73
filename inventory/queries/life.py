"""How many plants stood in a lot's line, day by day, from the cutting to now."""

from dataclasses import dataclass
from datetime import date

from inventory.models import Lot
from inventory.queries.story import Story
from inventory.queries.wording import LOST, plants


@dataclass(frozen=True)
class Stretch:
    """The days the plants stood in one lot: (day, plants after it), and the losses."""

    lot: Lot
    levels: list[tuple[date, int]]
    losses: list[tuple[date, int]]


def life_of(story: Story) -> list[Stretch]:
    """Return the stretches of the way most of the plants came, first to last."""
    lots = [row.from_lot for row in story.path] + [story.lot]
    ends = [(row.date, row.operation_id) for row in story.path] + [(date.max, 0)]
    return [
        stretch
        for lot, end in zip(lots, ends, strict=True)
        if (stretch := _stretch(story, lot, end)).levels
    ]


def _stretch(story, lot, end):
    levels, losses, standing = [], [], 0
    for one in story.happenings:
        moment = (one.operation.date, one.operation.pk)
        if one.is_undone or moment > end:
            continue
        change = sum(_change(row, lot) for row in one.movements)
        lost = plants([r for r in one.movements if r.kind in LOST and r.from_lot_id == lot.pk])
        if change:
            standing += change
            levels.append((one.operation.date, standing))
        if lost:
            losses.append((one.operation.date, lost))
    return Stretch(lot, levels, losses)


def _change(row, lot):
    return row.quantity * ((row.to_lot_id == lot.pk) - (row.from_lot_id == lot.pk))
