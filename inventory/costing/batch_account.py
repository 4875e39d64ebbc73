"""Follow one batch through the ledger: what went in, what became of it, stage by stage.

Plants of a lot are alike, so of whatever joins or leaves a blended lot the batch has the
share it has of the lot's plants at that moment. Counts and amounts are whole numbers where
no lot was blended, and exact fractions else; amounts are millionths.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from inventory.costing.categories import CATEGORIES

Number = int | Fraction
MOVE, COST, WORK = range(3)
LOST = ("lost", "lost_abnormal")


class Row(NamedTuple):
    """A line of the ledger in force. `costs` are what a movement carried, by category.

    Of a cost `source` is its lot and `quantity` its amount; `kind` its category. Of work
    `quantity` are millionths of minutes of the grower's own.
    """

    day: int
    operation: int
    what: int
    key: int
    kind: str
    source: int | None
    target: int | None
    quantity: int
    of: int | None = None
    batch: int | None = None
    costs: tuple[int, ...] = ()


@dataclass
class Stage:
    """What happened to the batch's plants while they stood in one container."""

    came: Number = 0
    found: Number = 0
    went_on: Number = 0
    sold: Number = 0
    used: Number = 0
    lost_normal: Number = 0
    lost_abnormal: Number = 0
    on_hand: Number = 0
    added: dict[str, Number] = field(default_factory=lambda: defaultdict(int))
    carried_by_others: Number = 0
    expensed: Number = 0
    sold_cost: Number = 0
    used_cost: Number = 0
    held_cost: Number = 0

    @property
    def cost_added(self) -> Number:
        return sum(self.added.values())


@dataclass
class Account:
    """A batch's plants and money, stage by stage.

    `sold_by_movement` says how many of a sale's or return's plants were the batch's.
    `points` are (day, plants on hand, their cost), one a day on which either changed.
    """

    stages: dict[int, Stage] = field(default_factory=lambda: defaultdict(Stage))
    sold_by_movement: dict[int, Number] = field(default_factory=dict)
    own_minutes: Number = 0
    area_days: Number = 0
    joined_by_blending: Number = 0
    points: list[tuple[int, Number, Number]] = field(default_factory=list)

    def total(self, name: str) -> Number:
        """Return the sum of one number over all stages."""
        return sum(getattr(stage, name) for stage in self.stages.values())

    def added(self) -> dict[str, Number]:
        """Return what went in by category, in the order of the categories."""
        sums = {c: sum(s.added.get(c, 0) for s in self.stages.values()) for c in CATEGORIES}
        return {category: amount for category, amount in sums.items() if amount}


class Follower:
    """Carries lots along the rows and keeps the account of one batch.

    Of cost only the categories `counted` are in it, CATEGORIES or PAID alone.
    """

    def __init__(
        self,
        batch: int,
        containers: Mapping[int, int],
        rooms: Mapping[int, int | None],
        counted: Sequence[str] = CATEGORIES,
    ):
        self.batch, self.containers, self.rooms = batch, containers, rooms
        self.counted = counted
        self.account = Account()
        self.plants: dict[int, int] = defaultdict(int)
        self.cost: dict[int, int] = defaultdict(int)
        self.shares: dict[int, Number] = defaultdict(int)
        self.parts: dict[int, Number] = {}
        self.day: dict[int, int] = {}

    def follow(self, rows: Iterable[Row], until: int) -> Account:
        """Return the account after the rows, which stand in the ledger's order, at a day's end."""
        day = None
        for row in rows:
            if day is not None and row.day != day:
                self._note_point(day)
            day = row.day
            (self._move, self._charge, self._work)[row.what](row)
        if day is not None:
            self._note_point(day)
        for lot in list(self.plants):
            self._pass_days(lot, until + 1)
            stage = self._stage(lot)
            stage.on_hand += self.shares[lot] * self.plants[lot]
            stage.held_cost += self.shares[lot] * self.cost[lot]
        self._balance()
        return self.account

    def _stage(self, lot) -> Stage:
        return self.account.stages[self.containers[lot]]

    def _share_of(self, row) -> Number:
        """Return the batch's share of the plants a movement carries."""
        if row.kind == "begun":
            return 1 if row.batch == self.batch else 0
        if row.of is not None:
            return self.parts.get(row.of, 0)
        if row.source is not None:
            return self.shares[row.source] if row.source in self.containers else 0
        return self.shares[row.target]

    def _move(self, row):
        share = self.parts[row.key] = self._share_of(row)
        for lot in (row.source, row.target):
            if lot in self.containers:
                self._pass_days(lot, row.day)
        carried = sum(row.costs[: len(self.counted)])
        number = share * row.quantity
        if row.source in self.containers:
            self._leave(row, number, share * carried)
            left = self.plants[row.source] - row.quantity
            if row.of is not None and left:
                # A discarded return takes away what came back, not a share of the lot.
                held = self.shares[row.source] * self.plants[row.source] - number
                self.shares[row.source] = _plain(Fraction(held) / left)
            self.plants[row.source] = left
            self.cost[row.source] -= carried
        if row.target in self.containers:
            self._come(row, number, share * carried)
            after = self.plants[row.target] + row.quantity
            joined = self.shares[row.target] * self.plants[row.target] + number
            self.shares[row.target] = _plain(Fraction(joined) / after)
            self.plants[row.target] = after
            self.cost[row.target] += carried

    def _leave(self, row, number, cost):
        stage = self._stage(row.source)
        if row.kind == "moved":
            if self.containers.get(row.target) != self.containers[row.source]:
                stage.went_on += number
        elif row.kind == "sold":
            stage.sold += number
            stage.sold_cost += cost
            self.account.sold_by_movement[row.key] = number
        elif row.kind in LOST:
            self._lose(stage, row, number, cost)
        else:
            stage.used += number
            stage.used_cost += cost

    def _lose(self, stage, row, number, cost):
        """Book a loss; what expected ones had cost stays with the plants that live."""
        stage.expensed += cost
        if row.kind == "lost_abnormal":
            stage.lost_abnormal += number
            return
        stage.lost_normal += number
        if not cost and number:
            each = Fraction(self.cost[row.source], self.plants[row.source])
            stage.carried_by_others += number * each

    def _come(self, row, number, cost):
        stage = self._stage(row.target)
        if row.kind == "returned":
            stage.sold -= number
            stage.sold_cost -= cost
            self.account.sold_by_movement[row.key] = -number
        elif row.kind == "found":
            stage.found += number
        elif self.containers.get(row.source) != self.containers[row.target]:
            stage.came += number

    def _charge(self, row):
        if row.kind not in self.counted:
            return
        part = self.shares[row.source] * row.quantity
        stage = self._stage(row.source)
        stage.added[row.kind] += part
        if self.plants[row.source]:
            self.cost[row.source] += row.quantity
        else:
            stage.expensed += part

    def _work(self, row):
        self.account.own_minutes += self.shares[row.source] * row.quantity

    def _pass_days(self, lot, day):
        """Count the room the batch's plants took from the lot's last change to this day."""
        held = self.shares[lot] * self.plants[lot]
        room = self.rooms.get(self.containers[lot]) or 0
        self.account.area_days += held * room * (day - self.day.get(lot, day))
        self.day[lot] = day

    def _note_point(self, day):
        standing = [lot for lot, number in self.plants.items() if number]
        plants = sum(self.shares[lot] * self.plants[lot] for lot in standing)
        cost = sum(self.shares[lot] * self.cost[lot] for lot in standing)
        if not self.account.points or self.account.points[-1][1:] != (plants, cost):
            self.account.points.append((day, plants, cost))

    def _balance(self):
        """Note what blending with other batches brought: dearer plants share their cost."""
        account = self.account
        gone = ("expensed", "sold_cost", "used_cost", "held_cost")
        out = sum(account.total(name) for name in gone)
        account.joined_by_blending = out - account.total("cost_added")


def _plain(number: Fraction) -> Number:
    return number.numerator if number.denominator == 1 else number
