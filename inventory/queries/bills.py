"""How a bill for a place and some days is shared among the lots that were there."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from inventory.costing.allocation import largest_remainder
from inventory.costing.occupancy import SQUARE_MILLIMETRES_IN_SQUARE_METRE
from inventory.errors import LedgerError
from inventory.models import Bill, BillShare, Container, Lot, Place
from inventory.queries.occupancy import Areas, Occupied, occupied, stays_in
from inventory.queries.work import minutes_by_lot
from nursery.money import to_millionths

MOST_CODES = 5


class Part(NamedTuple):
    """What one lot bears of a bill, in millionths, on the last day it stood there."""

    lot: int
    weight: int
    amount: int
    day: date
    plants: int


@dataclass(frozen=True)
class Sharing:
    """A bill's amount in its parts: parts + unused amount = amount.

    `unused_weight` is the space nobody used, in mm² × days, None where it cannot be told.
    """

    amount: int
    parts: list[Part]
    unused_amount: int
    unused_weight: int | None
    remarks: list[str] = field(default_factory=list)

    @property
    def used_weight(self) -> int:
        return sum(part.weight for part in self.parts)

    @property
    def unused_percent(self) -> Fraction | None:
        """The unused space out of all there is, in percent."""
        if self.unused_weight is None:
            return None
        every = self.used_weight + self.unused_weight
        return Fraction(100 * self.unused_weight, every) if every else None

    @property
    def plants(self) -> int:
        """The plants that stood there on their lots' last days."""
        return sum(part.plants for part in self.parts)

    def by_day(self) -> list[tuple[date, list[Part]]]:
        """Return the parts that are not nothing, day by day, the first first."""
        days = defaultdict(list)
        for part in self.parts:
            if part.amount:
                days[part.day].append(part)
        return sorted(days.items())


@dataclass(frozen=True)
class Asked:
    """What a bill says, before it is shared."""

    category: str
    amount: Decimal
    first_day: date
    last_day: date
    place: Place | None = None
    basis: str = Bill.Basis.AREA
    unused: str = Bill.Unused.PLANTS

    @property
    def days(self) -> int:
        return (self.last_day - self.first_day).days + 1

    @property
    def where(self) -> str:
        return f"in {self.place}" if self.place else "in the nursery"


def share_out(asked: Asked) -> Sharing:
    """Share a bill by largest remainder. Raises LedgerError where nobody could bear it."""
    areas = Areas()
    there = _there(asked, areas)
    weights, remarks = _weights(asked, there)
    unused_weight = _unused_weight(asked, areas, sum(weights.values()))
    _refuse_unknown_space(asked, unused_weight)
    total = to_millionths(asked.amount)
    expensed = asked.unused == Bill.Unused.EXPENSE
    lots = [lot for lot, weight in weights.items() if weight]
    shares = _shares(asked, total, [weights[lot] for lot in lots], unused_weight or 0, expensed)
    parts = [
        Part(lot, weights[lot], share, there[lot].last_day, there[lot].plants)
        for lot, share in zip(lots, shares, strict=False)
    ]
    unused_amount = shares[-1] if expensed else 0
    remarks += _remarks_on_space(asked, areas, sum(weights.values()), unused_weight)
    return Sharing(total, parts, unused_amount, unused_weight, remarks)


def _shares(asked, total, weights, unused_weight, expensed) -> list[int]:
    """Return each lot's share, and last that of the unused space where it is expensed."""
    if not weights and not (expensed and unused_weight):
        raise LedgerError(_nobody(asked), field="place" if asked.place else "first_day")
    return largest_remainder(total, [*weights, unused_weight] if expensed else weights)


def _nobody(asked):
    if asked.basis == Bill.Basis.MINUTES:
        return (
            f"No minutes of work on plants {asked.where} were entered from "
            f"{asked.first_day.isoformat()} to {asked.last_day.isoformat()}. Share it by area "
            "or by plants, or enter the work first."
        )
    return (
        f"No plants of known room stood {asked.where} from {asked.first_day.isoformat()} to "
        f"{asked.last_day.isoformat()}, so no lot can bear it. Choose other days or another place."
    )


def _there(asked, areas) -> Mapping[int, Occupied]:
    found = stays_in(asked.first_day, asked.last_day)
    return occupied(found, areas.parts_of(asked.place.pk) if asked.place else None)


def _weights(asked, there) -> tuple[dict[int, int], list[str]]:
    """Return what each lot is weighed by, in order of lots, and what should be known of it."""
    lots = sorted(there)
    if asked.basis == Bill.Basis.PLANTS:
        return {lot: there[lot].plant_days for lot in lots}, []
    if asked.basis == Bill.Basis.MINUTES:
        minutes = minutes_by_lot(asked.first_day, asked.last_day)
        return {lot: max(minutes.get(lot, 0), 0) for lot in lots}, []
    roomless = [lot for lot in lots if there[lot].area_days is None]
    return {lot: there[lot].area_days or 0 for lot in lots}, _remarks_on_room(roomless)


def _remarks_on_room(lots) -> list[str]:
    """Say which containers nobody has given a room, for their lots would bear nothing."""
    if not lots:
        return []
    codes = Lot.objects.filter(pk__in=lots).values("container")
    names = [str(one) for one in Container.objects.filter(pk__in=codes)]
    return [
        f"How much room {_listed(names)} takes is not known, so {len(lots)} "
        f"{'lot bears' if len(lots) == 1 else 'lots bear'} nothing of this bill. "
        "Enter its room or spacing under containers first."
    ]


def _unused_weight(asked, areas, used) -> int | None:
    """Return the space nobody used, in mm² × days, or None where it cannot be told."""
    area = areas.area(asked.place.pk if asked.place else None)
    if asked.basis != Bill.Basis.AREA or area is None:
        return None
    return max(int(area * SQUARE_MILLIMETRES_IN_SQUARE_METRE) * asked.days - used, 0)


def _refuse_unknown_space(asked, unused_weight):
    if asked.unused != Bill.Unused.EXPENSE or unused_weight is not None:
        return
    if asked.basis != Bill.Basis.AREA:
        raise LedgerError(
            "Unused space can be told only where a bill is shared by area and days. "
            "Share it so, or let the plants bear it.",
            field="unused",
        )
    raise LedgerError(
        f"How large {asked.place or 'each place'} is has not been entered, so its unused space "
        "cannot be told. Enter the area under places, or let the plants bear it.",
        field="unused",
    )


def _remarks_on_space(asked, areas, used, unused_weight) -> list[str]:
    if asked.basis != Bill.Basis.AREA:
        return []
    if unused_weight is None:
        return [
            f"How large {asked.place or 'each place'} is has not been entered, "
            "so its unused space cannot be told; the plants bear all of it."
        ]
    area = areas.area(asked.place.pk if asked.place else None)
    if used > int(area * SQUARE_MILLIMETRES_IN_SQUARE_METRE) * asked.days:
        return [
            "By their spacing the plants took more room than there is. Look at the spacing of "
            "the containers, or at the area of the place."
        ]
    return []


def _listed(names):
    if len(names) > MOST_CODES:
        names = [*names[:MOST_CODES], "others"]
    return ", ".join(names)


def bills():
    """Return the bills, the latest first, without the entries that undo one."""
    related = ("place", "entered_by", "reversed_by")
    return Bill.objects.filter(reverses=None).select_related(*related)


def bills_of(operations: Collection[int]) -> dict[int, int]:
    """Return {operation: its bill} for those operations that charge parts of one."""
    if not operations:
        return {}
    rows = BillShare.objects.filter(operation__in=operations)
    return dict(rows.values_list("operation", "bill"))
