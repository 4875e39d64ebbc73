"""Where the plants of a batch are now."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from inventory.costing.categories import CATEGORIES
from inventory.models import Batch, Lot, Movement
from inventory.queries.lineage import lots_ahead, shares_of_lots, shares_of_movements
from inventory.queries.wording import LOST

Kind = Movement.Kind


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
