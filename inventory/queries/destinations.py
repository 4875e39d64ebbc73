"""Where a lot's plants went: sold on which document, lost to what, potted up into which lot."""

from collections import Counter
from dataclasses import dataclass, field

from django.db.models import Q

from inventory.models import Lot, Movement
from inventory.papers import Paper, papers_of

Kind = Movement.Kind


@dataclass
class Destinations:
    """The plants that left a lot, net of those that came back."""

    sold: list[tuple[Paper, int]] = field(default_factory=list)
    sold_unnamed: int = 0
    lost: list[tuple[str, int]] = field(default_factory=list)
    moved: list[tuple[Lot, int]] = field(default_factory=list)
    used: int = 0
    given: int = 0

    @property
    def sold_in_all(self) -> int:
        return self.sold_unnamed + sum(number for _, number in self.sold)

    @property
    def lost_in_all(self) -> int:
        return sum(number for _, number in self.lost)

    @property
    def moved_in_all(self) -> int:
        return sum(number for _, number in self.moved)

    @property
    def any(self) -> bool:
        return bool(self.sold_in_all or self.lost or self.moved or self.used or self.given)


def where_plants_went(lot: Lot) -> Destinations:
    """Return where the plants that left `lot` went, the newest sale first."""
    rows = list(
        Movement.objects.filter(
            Q(from_lot=lot) | Q(to_lot=lot, kind=Kind.RETURNED), carried__isnull=False
        )
        .select_related("cause", "to_lot__container", "to_lot__plant", "of")
        .order_by("date", "operation_id", "pk")
    )
    found = Destinations(
        lost=_counted((row.cause.name, row) for row in rows if row.cause),
        moved=_counted((row.to_lot, row) for row in rows if row.kind == Kind.MOVED),
        used=sum(row.quantity for row in rows if row.kind == Kind.USED),
        given=sum(row.quantity for row in rows if row.kind == Kind.GIVEN),
    )
    _name_sales(found, rows)
    return found


def _name_sales(found, rows):
    """Sum the sales by document; plants that came back are taken off their own sale."""
    sold: Counter = Counter()
    for row in rows:
        if row.kind == Kind.SOLD:
            sold[row.operation_id] += row.quantity
        elif row.kind == Kind.RETURNED:
            sold[row.of.operation_id] -= row.quantity
    papers = papers_of(sold)
    by_paper: Counter = Counter()
    for operation, number in sold.items():
        if operation in papers:
            by_paper[papers[operation]] += number
        else:
            found.sold_unnamed += number
    found.sold = [(paper, number) for paper, number in reversed(by_paper.items()) if number]


def _counted(pairs):
    numbers: Counter = Counter()
    for key, row in pairs:
        numbers[key] += row.quantity
    return numbers.most_common()
