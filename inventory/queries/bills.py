"""How a bill for a place and some days is shared among the lots that were there."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import compress
from operator import itemgetter
from typing import NamedTuple

from inventory.costing.allocation import largest_remainder
from inventory.costing.occupancy import SQUARE_MILLIMETRES_IN_SQUARE_METRE, Stretch
from inventory.errors import LedgerError
from inventory.models import Bill, BillShare, Container, Lot, Place
from inventory.queries.occupancy import Areas, rooms_by_container, stays_in
from inventory.queries.work import minutes_worked
from nursery.money import to_millionths

MOST_CODES = 5


class Part(NamedTuple):
    """What a lot bears of a bill, in millionths, for a stretch in which nothing about it changed.

    It is laid on the last day of the stretch, so that plants which leave later carry it.
    """

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
    def most_plants(self) -> dict[int, int]:
        """The plants of each lot that bear it: the most that stood there at once."""
        most: dict[int, int] = {}
        for part in self.parts:
            most[part.lot] = max(part.plants, most.get(part.lot, 0))
        return most

    @property
    def plants(self) -> int:
        """The plants that bear it."""
        return sum(self.most_plants.values())

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
    found = stays_in(asked.first_day, asked.last_day)
    there = found.within(areas.parts_of(asked.place.pk) if asked.place else None)
    there = sorted(there, key=itemgetter(0))
    weights, remarks = _weights(asked, there, found.containers)
    used = sum(weights)
    unused_weight = _unused_weight(asked, areas, used)
    _refuse_unknown_space(asked, unused_weight)
    total = to_millionths(asked.amount)
    expensed = asked.unused == Bill.Unused.EXPENSE
    there, weights = list(compress(there, weights)), list(filter(None, weights))
    shares = _shares(asked, total, weights, unused_weight or 0, expensed)
    unused_amount = shares.pop() if expensed else 0
    remarks += _remarks_on_space(asked, areas, used, unused_weight)
    return Sharing(total, _parts(there, weights, shares), unused_amount, unused_weight, remarks)


def _parts(there, weights, shares) -> list[Part]:
    lots, plants, untils = (map(itemgetter(place), there) for place in (0, 2, 4))
    days = {until: date.fromordinal(until - 1) for until in {stretch[4] for stretch in there}}
    last_days = map(days.__getitem__, untils)
    return list(map(Part._make, zip(lots, weights, shares, last_days, plants, strict=True)))


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


def _weights(asked, there: list[Stretch], containers) -> tuple[list[int], list[str]]:
    """Return what each stretch is weighed by, and what should be known of it."""
    if asked.basis == Bill.Basis.MINUTES:
        return _minutes(asked, there), []
    plant_days = [plants * (until - day) for _, _, plants, day, until in there]
    if asked.basis == Bill.Basis.PLANTS:
        return plant_days, []
    rooms = rooms_by_container()
    rooms_there = [rooms[containers[stretch[0]]] for stretch in there]
    roomless = {stretch[0] for stretch, room in zip(there, rooms_there, strict=True) if not room}
    weights = [(room or 0) * days for room, days in zip(rooms_there, plant_days, strict=True)]
    return weights, _remarks_on_room(roomless)


def _minutes(asked, there: list[Stretch]) -> list[int]:
    """Return the minutes worked within each stretch.

    Work on plants that were gone by the evening counts with the stretch before.
    """
    numbers = defaultdict(list)
    for number, stretch in enumerate(there):
        numbers[stretch[0]].append(number)
    minutes = [0] * len(there)
    for lot, day, worked in minutes_worked(asked.first_day, asked.last_day):
        begun = [number for number in numbers[lot] if there[number][3] <= day]
        if begun:
            minutes[begun[-1]] += worked
    return [max(number, 0) for number in minutes]


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
    refuse_unused_unless_by_area(asked)
    raise LedgerError(
        f"How large {asked.place or 'each place'} is has not been entered, so its unused space "
        "cannot be told. Enter the area under places, or let the plants bear it.",
        field="unused",
    )


def refuse_unused_unless_by_area(asked) -> None:
    """Raise LedgerError where unused space is to be expensed and cannot be told."""
    if asked.unused == Bill.Unused.EXPENSE and asked.basis != Bill.Basis.AREA:
        raise LedgerError(
            "Unused space can be told only where a bill is shared by area and days. "
            "Share it so, or let the plants bear it.",
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
