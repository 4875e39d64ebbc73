"""How batches fared: how many rooted, and where their plants are now."""

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from inventory.costing.categories import CATEGORIES
from inventory.models import Batch, Count, Lot, Movement, Operation
from inventory.queries.lineage import lots_ahead, shares_of_lots, shares_of_movements
from inventory.queries.on_hand import in_force
from inventory.queries.wording import LOST

Kind = Movement.Kind


@dataclass(frozen=True)
class Strike:
    """The cuttings stuck of a batch, and how many of those counted had rooted."""

    stuck: int
    counted: int = 0
    rooted: Fraction | None = None

    @property
    def percent(self) -> Fraction | None:
        """Rooted out of stuck, in the lots whose rooted plants were counted."""
        return 100 * self.rooted / self.counted if self.counted else None


def strikes(batches: Collection[int]) -> dict[int, Strike]:
    """Return each batch's strike, with as many queries for many as for one."""
    begun: dict[int, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    filled: dict[int, int] = defaultdict(int)
    first_lots = Movement.objects.filter(batch__in=batches, carried__isnull=False).values("to_lot")
    rows = Movement.objects.filter(
        to_lot__in=first_lots, kind=Kind.BEGUN, carried__isnull=False
    ).values_list("batch", "to_lot", "quantity")
    for batch, lot, quantity in rows:
        begun[batch][lot] += quantity
        filled[lot] += quantity
    rooted = _rooted(filled)
    return {batch: _strike(begun[batch], filled, rooted) for batch in batches}


def _strike(begun, filled, rooted):
    counted = {lot: quantity for lot, quantity in begun.items() if lot in rooted}
    if not counted:
        return Strike(sum(begun.values()))
    parts = (Fraction(rooted[lot] * quantity, filled[lot]) for lot, quantity in counted.items())
    return Strike(sum(begun.values()), sum(counted.values()), sum(parts, Fraction(0)))


def _rooted(filled):
    """Return {lot: plants rooted} of the lots that have a rooted count.

    That is all that began there less what was lost until the last rooted count, so
    that plants potted up between two counts are not taken for lost.
    """
    counts = in_force(
        Count.objects.filter(lot__in=filled, operation__kind=Operation.Kind.ROOT_COUNT)
    )
    until = {
        lot: moment
        for lot, *moment in counts.order_by("date", "operation_id").values_list(
            "lot", "date", "operation_id"
        )
    }
    rooted = {lot: filled[lot] for lot in until}
    losses = Movement.objects.filter(from_lot__in=until, kind__in=LOST, carried__isnull=False)
    for lot, day, operation, lost in losses.values_list(
        "from_lot", "date", "operation_id", "quantity"
    ):
        if [day, operation] <= until[lot]:
            rooted[lot] -= lost
    return rooted


@dataclass
class Whereabouts:
    """Where the plants of a batch are. Of blended lots it has its share, which may be
    a fraction: begun + found = standing + sold + lost + used + given."""

    begun: Fraction = Fraction(0)
    found: Fraction = Fraction(0)
    sold: Fraction = Fraction(0)
    used: Fraction = Fraction(0)
    given: Fraction = Fraction(0)
    counted: tuple[str, ...] = CATEGORIES
    lost: dict[str, Fraction] = field(default_factory=dict)
    standing: list[tuple[Lot, Fraction]] = field(default_factory=list)

    @property
    def on_hand(self) -> Fraction:
        return sum((number for _, number in self.standing), Fraction(0))

    @property
    def is_blended(self) -> bool:
        """Say whether any of its lots holds plants of other batches too."""
        return any(number != lot.balance.on_hand for lot, number in self.standing)

    @property
    def lost_in_all(self) -> Fraction:
        return sum(self.lost.values(), Fraction(0))

    @property
    def cost(self) -> Decimal:
        """The cost of the plants that still stand."""
        return sum(
            (
                lot.balance.cost_in(self.counted)
                * number.numerator
                / (lot.balance.on_hand * number.denominator)
                for lot, number in self.standing
            ),
            Decimal(0),
        )

    @property
    def unit_cost(self) -> Decimal | None:
        here = self.on_hand
        return self.cost * here.denominator / here.numerator if here else None


def whereabouts(batch: Batch, counted: tuple[str, ...] = CATEGORIES) -> Whereabouts:
    """Follow a batch's plants through every lot they reached, with the cost counted."""
    begun = Movement.objects.filter(batch=batch, carried__isnull=False)
    first = set(begun.values_list("to_lot", flat=True))
    if not first:
        return Whereabouts()
    lots = lots_ahead(first)
    found = Whereabouts(
        begun=Fraction(sum(begun.values_list("quantity", flat=True))),
        standing=list(_standing(batch, lots)),
        counted=counted,
    )
    for movement, part in _left(batch, lots):
        _book(found, movement, part)
    found.lost = dict(sorted(found.lost.items(), key=lambda pair: -pair[1]))
    return found


def _standing(batch, lots) -> Iterator[tuple[Lot, Fraction]]:
    held = Lot.objects.filter(pk__in=lots, balance__on_hand__gt=0).select_related(
        "plant", "container", "balance__place"
    )
    held = list(held.order_by("container__position", "code"))
    shares = shares_of_lots([lot.pk for lot in held])
    for lot in held:
        if part := shares[lot.pk].get(batch.pk):
            yield lot, part * lot.balance.on_hand


def _left(batch, lots):
    """Yield each movement between the batch's lots and the world, with its part of it."""
    from_lots = Movement.objects.filter(from_lot__in=lots).exclude(kind=Kind.MOVED)
    to_lots = Movement.objects.filter(to_lot__in=lots, kind__in=(Kind.RETURNED, Kind.FOUND))
    rows = [
        row
        for found in (from_lots, to_lots)
        for row in found.filter(carried__isnull=False).select_related("cause")
    ]
    shares = shares_of_movements((row.pk, row.from_lot_id or row.to_lot_id) for row in rows)
    for row in rows:
        if part := shares[row.pk].get(batch.pk):
            yield row, part * row.quantity


def _book(found, movement, number):
    kind = movement.kind
    if kind in LOST:
        cause = movement.cause.name
        found.lost[cause] = found.lost.get(cause, Fraction(0)) + number
    elif kind == Kind.RETURNED:
        found.sold -= number
    elif kind in (Kind.SOLD, Kind.USED, Kind.GIVEN, Kind.FOUND):
        name = str(kind)
        setattr(found, name, getattr(found, name) + number)
