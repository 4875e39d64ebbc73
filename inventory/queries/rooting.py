"""What roots well: the strike of batches that have something in common, and two compared."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import NamedTuple

from inventory.models import HormoneForm, Wood
from inventory.queries.strikes import BatchStrike, Strike
from inventory.statistics import control
from inventory.statistics.proportions import Interval, chance_alone, difference, wilson
from inventory.statistics.trials import cuttings_of_trial, more_of_each

MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


class Common(NamedTuple):
    """What batches may have in common: in words, its key in an address, its name."""

    words: str
    none: str
    key: Callable[[BatchStrike], str]
    name: Callable[[BatchStrike], str]


def _told(words, none, field, name=None):
    return Common(
        words,
        none,
        lambda batch: " ".join(str(batch.told[field] or "").casefold().split()),
        name or (lambda batch: str(batch.told[field])),
    )


COMMON = {
    "plant": Common(
        "Plant", "", lambda b: str(b.told["plant_key"]), lambda b: str(b.told["plant"])
    ),
    "treatment": _told("Treatment", "no treatment noted", "treatment"),
    "hormone": Common(
        "Hormone and its strength",
        "no hormone noted",
        lambda batch: _hormone(batch).casefold(),
        lambda batch: _hormone(batch),
    ),
    "wood": _told("Wood", "no wood noted", "wood", lambda b: Wood(b.told["wood"]).label),
    "medium": _told("Medium", "no medium noted", "medium"),
    "heat": _told("Bottom heat", "no bottom heat noted", "heat", lambda b: f"{b.told['heat']} °C"),
    "month": Common(
        "Month stuck",
        "",
        lambda batch: f"{batch.started_on.month:02}",
        lambda batch: MONTHS[batch.started_on.month - 1],
    ),
    "stock_plant": _told("Stock plant", "no stock plant noted", "stock_plant"),
    "taken_by": _told("Who took them", "nobody noted", "taken_by"),
}
IN_ORDER = ("month",)
NOT_SAID = "none"


@dataclass(frozen=True)
class Group:
    """Batches that have something in common, and how they struck together."""

    key: str
    name: str
    batches: int
    strike: Strike

    @property
    def interval(self) -> Interval | None:
        """The bounds of the share that roots, as shares of 1; None where none was counted."""
        return wilson(self.strike.tally) if self.strike.counted else None

    @property
    def likely(self) -> tuple[float, float] | None:
        """The same in percent."""
        return (self.low, self.high) if self.interval else None

    @property
    def low(self) -> float | None:
        return round(100 * self.interval.low, 1) if self.interval else None

    @property
    def high(self) -> float | None:
        return round(100 * self.interval.high, 1) if self.interval else None


def usual_grouping(batches: Iterable[BatchStrike]) -> str:
    """Return how batches of one plant are grouped: by treatment where any is noted, else month."""
    return "treatment" if any(COMMON["treatment"].key(batch) for batch in batches) else "month"


def grouped(batches: Iterable[BatchStrike], by: str) -> list[Group]:
    """Return the batches in groups: those counted by their share, the best first.

    Months stand in their order. Groups of which nothing was counted come last.
    """
    common = COMMON[by]
    found: dict[str, list] = {}
    for batch in batches:
        key = common.key(batch) or NOT_SAID
        name = common.none if key == NOT_SAID else common.name(batch)
        row = found.setdefault(key, [name, 0, Strike()])
        row[1] += 1
        row[2] += batch.strike
    groups = [Group(key, *row) for key, row in found.items()]
    if by in IN_ORDER:
        return sorted(groups, key=lambda group: group.key)
    return sorted(groups, key=lambda group: (-(group.strike.percent or -1), group.name))


def together(batches: Iterable[BatchStrike]) -> Group:
    """Return all batches as one group."""
    batches = list(batches)
    return Group("", "", len(batches), sum((batch.strike for batch in batches), Strike()))


@dataclass(frozen=True)
class Comparison:
    """Two groups that were counted: the better one first."""

    better: Group
    other: Group

    @classmethod
    def of(cls, one: Group, other: Group) -> "Comparison":
        better, worse = sorted((one, other), key=lambda group: -group.strike.tally.share)
        return cls(better, worse)

    @property
    def both(self) -> tuple[Group, Group]:
        return self.better, self.other

    @property
    def apart(self) -> float:
        """How many more of a hundred rooted."""
        return 100 * (self.better.strike.tally.share - self.other.strike.tally.share)

    @property
    def interval(self) -> Interval:
        """The bounds of that, plants in a hundred."""
        found = difference(self.better.strike.tally, self.other.strike.tally)
        return Interval(100 * found.low, 100 * found.high)

    @property
    def tells(self) -> bool:
        """Say whether chance alone is unlikely to part them so far."""
        return not self.interval.has(0)

    @property
    def more(self) -> int | None:
        """How many more of each would most likely tell, in whole tens; None for no number."""
        more = more_of_each(self.better.strike.tally, self.other.strike.tally)
        return None if more is None else 10 * -(-max(more, 1) // 10)

    @property
    def more_in_all(self) -> int:
        return cuttings_of_trial(treatments=2, each=self.more or 0)

    @property
    def chance(self) -> float:
        """How often chance alone would part them as far."""
        return chance_alone(self.better.strike.tally, self.other.strike.tally)


@dataclass(frozen=True)
class Charted:
    """A batch on the control chart: its share and the limits of chance for one of its size."""

    batch: BatchStrike
    limits: Interval

    @property
    def percent(self) -> float:
        return round(100 * self.batch.strike.tally.share, 1)

    @property
    def least(self) -> float:
        return round(100 * self.limits.low, 1)

    @property
    def most(self) -> float:
        return round(100 * self.limits.high, 1)

    @property
    def limits_percent(self) -> tuple[float, float]:
        return self.least, self.most

    @property
    def is_low(self) -> bool:
        return self.batch.strike.tally.share < self.limits.low

    @property
    def is_high(self) -> bool:
        return self.batch.strike.tally.share > self.limits.high


@dataclass(frozen=True)
class Chart:
    """Counted batches in the order they were stuck, against what is usual of them."""

    usual: float
    rows: list[Charted]

    @property
    def low(self) -> list[Charted]:
        return [row for row in self.rows if row.is_low]

    @property
    def high(self) -> list[Charted]:
        return [row for row in self.rows if row.is_high]

    @property
    def is_restless(self) -> bool:
        """Say whether so many are beyond chance that there is no one usual strike."""
        return len(self.low) + len(self.high) > max(1, len(self.rows) // 4)


def charted(batches: Iterable[BatchStrike]) -> Chart | None:
    """Return the control chart of the batches whose rooted plants were counted, if any."""
    counted = [batch for batch in batches if batch.strike.counted]
    if not counted:
        return None
    usual = control.usual([batch.strike.tally for batch in counted])
    return Chart(
        usual,
        [Charted(batch, control.limits(usual, batch.strike.counted)) for batch in counted],
    )


def _hormone(batch):
    strength = batch.told["hormone_ppm"]
    form = batch.told["hormone_form"]
    words = [
        batch.told["hormone"],
        f"{strength:,} ppm" if strength else "",
        HormoneForm(form).label if form else "",
    ]
    return ", ".join(word for word in words if word)
