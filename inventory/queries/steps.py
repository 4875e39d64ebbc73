"""Tell a lot's story in steps: close entries of one day together, each with its figures."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from inventory.models import CostEntry, Lot, Movement, Operation
from inventory.queries.story import Happening
from inventory.queries.supply_page import Took, what_operations_took
from inventory.queries.wording import (
    CATEGORY_WORDS,
    LOST,
    costs_in_words,
    describe_lines,
    plants,
)
from nursery.templatetags.nursery_tags import money, plain

MINUS = "\N{MINUS SIGN}"
MERGED = {(kind, kind) for kind in (Operation.Kind.SALE, Operation.Kind.COST)}


@dataclass
class Step:
    """One step of a story: what happened to a lot, and what stood there after it."""

    date: date
    lot: Lot
    what: str
    before: int
    after: int
    unit_cost: Decimal | None
    is_loss: bool = False
    is_undone: bool = False
    until: date | None = None
    note: str = ""
    happenings: list[Happening] = field(default_factory=list, repr=False)
    took: list[Took] = field(default_factory=list, repr=False)

    @property
    def change(self) -> str:
        """The plants that came or went, with their sign."""
        difference = self.after - self.before
        if not difference:
            return ""
        return f"{'+' if difference > 0 else MINUS}{plain(abs(difference))}"

    @property
    def url(self) -> str:
        """The page of the document the plants left on, where there is one only."""
        papers = {one.paper.url for one in self.happenings if one.paper}
        return papers.pop() if len(papers) == 1 else ""

    @property
    def entries(self) -> list[CostEntry]:
        """The money that joined."""
        return [row for one in self.happenings for row in one.costs]

    @property
    def categories(self) -> list[str]:
        """The categories of the money that joined, in the usual order."""
        found = {row.category for row in self.entries}
        return [category for category in CATEGORY_WORDS if category in found]

    @property
    def costs(self) -> str:
        """The money that joined, where the sentence does not say it already."""
        is_said = len(self.categories) == 1 and not any(
            one.movements or one.placements or one.counts for one in self.happenings
        )
        return "" if is_said else costs_in_words(self.entries)


def steps_of(happenings: Iterable[Happening]) -> list[Step]:
    """Return the steps of a story, first to last.

    The costs of a day join the step they belong to; costs, and sales, that follow
    one another become one step. Undone entries stand alone, so that they are seen.
    """
    steps: list[Step] = []
    for happening in happenings:
        last = steps[-1] if steps else None
        if last and _belongs_to(last, happening):
            _join(last, happening)
        else:
            steps.append(_step(happening))
    return steps


def tell_what_they_took(chapters: Iterable[tuple[Lot, list[Step]]]) -> None:
    """Note on each step that stands the supplies and the time of its operations."""
    steps = [step for _, told in chapters for step in told if not step.is_undone]
    by_step = {id(step): [one.operation.pk for one in step.happenings] for step in steps}
    taken = what_operations_took({key for keys in by_step.values() for key in keys})
    for step in steps:
        step.took = [took for key in by_step[id(step)] for took in taken.get(key, ())]


def spent_on(
    category: str, chapters: Iterable[tuple[Lot, list[Step]]]
) -> list[tuple[Lot, list[Step]]]:
    """Keep the steps at which money of a category joined, and the lots that have any."""
    kept = [(lot, [step for step in told if category in step.categories]) for lot, told in chapters]
    return [(lot, steps) for lot, steps in kept if steps]


def _belongs_to(step, happening):
    before = step.happenings[-1]
    if happening.lot.pk != step.lot.pk or happening.is_undone or step.is_undone:
        return False
    kinds = (before.operation.kind, happening.operation.kind)
    if kinds in MERGED and step.happenings[0].operation.kind == kinds[0]:
        return True
    return kinds[1] == Operation.Kind.COST and step.date == happening.operation.date


def _join(step, happening):
    step.happenings.append(happening)
    step.after, step.unit_cost = happening.after.plants, happening.after.unit_cost
    step.until = happening.operation.date
    first = step.happenings[0].operation.kind
    if first == Operation.Kind.SALE:
        sold = sum(plants(one.movements) for one in step.happenings)
        step.what = f"Sold {plain(sold)} in {len(step.happenings)} sales"
    elif first == Operation.Kind.COST:
        spent = sum(row.amount for row in step.entries)
        words = [CATEGORY_WORDS[category] for category in step.categories]
        step.what = f"Added {money(spent)} for {', '.join(words)}"


def _step(happening):
    operation = happening.operation
    return Step(
        date=operation.date,
        lot=happening.lot,
        what=describe_lines(happening.lines),
        before=happening.before.plants,
        after=happening.after.plants,
        unit_cost=happening.after.unit_cost,
        is_loss=any(row.kind in LOST for row in happening.movements)
        and not any(row.kind == Movement.Kind.MOVED for row in happening.movements),
        is_undone=happening.is_undone,
        note=operation.note,
        happenings=[happening],
    )
