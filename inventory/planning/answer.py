"""How many to stick for a target, after what grows towards it already.

Plants that stand already are taken nearest to their goal first, as far as they will come
through with the assurance that is asked for; what is then missing has to be stuck. All plants
of one source fare alike, as in one hard winter, so that the parts are added up as they are:
a little more is stuck than if luck and bad luck evened out.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise

from inventory.planning.ways import GROWING, Stretch, Way
from inventory.statistics.learning import Beta
from inventory.statistics.spread import all_through, numbers_through, to_start
from inventory.statistics.starting import mean_of

Shares = Mapping[str, Beta]
# What was ready longer ago than this is taken to be sold when the day comes.
ONE_YEAR = timedelta(days=365)


@dataclass(frozen=True)
class Standing:
    """Plants of one kind that stand alike: container, stage, since when, how many, how sure.

    `share` is what is thought of the rest of the stage they are in. In a tray they stand since
    they were stuck, in a pot since they were potted.
    """

    stage: str
    container: int
    since: date
    plants: int
    share: Beta | float
    ready_on: date | None = None

    def ahead(self, way: Way, shares: Shares, today: date) -> "Coming | None":
        """Return how these plants come to be ready by a way, or None where it is not theirs."""
        stretches = way.on_from(self.stage, self.container, self.since, today, self.ready_on)
        if stretches is None:
            return None
        later = tuple(shares[stretch.stage] for stretch in stretches[1:])
        return Coming(self, stretches[-1].ends, all_through((self.share, *later)))


@dataclass(frozen=True)
class Coming:
    """Standing plants on their way: when they are ready, and the share that comes through."""

    standing: Standing
    ready_on: date
    share: Beta | float


@dataclass
class Stock:
    """Plants that stand, with how many of each no target has taken yet."""

    standing: Sequence[Standing]
    free: list[int] = field(init=False)

    def __post_init__(self):
        self.free = [row.plants for row in self.standing]


@dataclass(frozen=True)
class Taken:
    """Plants that grow towards a target: how many, and how many of them will surely be ready."""

    coming: Coming
    plants: int
    sure: int


@dataclass(frozen=True)
class Row:
    """One stretch of the chain as it will probably go: plants in, lost, and out."""

    stretch: Stretch
    share: Beta | float
    begun: int
    through: int

    @property
    def lost(self) -> int:
        return self.begun - self.through


@dataclass(frozen=True)
class Wanted:
    """What a target asks for: so many ready by a day, with an assurance of 0 to 1."""

    plants: int
    ready_by: date
    assurance: float


@dataclass(frozen=True)
class Answer:
    """What to do for a target: how many to stick and when, and how that will probably go."""

    wanted: Wanted
    taken: tuple[Taken, ...]
    missing: int
    to_stick: int
    rows: tuple[Row, ...]
    to_buy: int

    @property
    def stick_on(self) -> date:
        return self.rows[0].stretch.begins

    @property
    def pot_on(self) -> date:
        """The day the rooted plants are potted up, the last on which bought liners help."""
        return next(row.stretch.begins for row in self.rows if row.stretch.stage == GROWING)

    @property
    def sure(self) -> int:
        """The plants that grow already and will be ready with the assurance asked for."""
        return sum(row.sure for row in self.taken)

    @property
    def likely(self) -> int:
        """The plants ready on average of those to be stuck."""
        return self.rows[-1].through


def answer(wanted: Wanted, way: Way, shares: Shares, stock: Stock, today: date) -> Answer:
    """Return the answer to a target; what it takes of the stock the next one finds no more."""
    taken, missing = [], wanted.plants
    for place, row in _nearest(way, shares, stock, today):
        if missing and stock.free[place] and is_of_the_year(row.ready_on, wanted.ready_by):
            part = _take(row, stock.free[place], missing, wanted.assurance)
            if part.sure:
                taken.append(part)
                stock.free[place] -= part.plants
                missing -= part.sure
    stretches = way.in_time_for(wanted.ready_by, today)
    chain = tuple(shares[stretch.stage] for stretch in stretches)
    to_stick = to_start(missing, chain, wanted.assurance)
    to_buy = to_start(missing, chain[2:], wanted.assurance)
    rows = tuple(rows_of(stretches, chain, to_stick))
    return Answer(wanted, tuple(taken), missing, to_stick, rows, to_buy)


def _nearest(way, shares, stock, today):
    coming = ((place, row.ahead(way, shares, today)) for place, row in enumerate(stock.standing))
    return sorted((pair for pair in coming if pair[1]), key=lambda pair: pair[1].ready_on)


def is_of_the_year(ready_on: date, ready_by: date) -> bool:
    """Say whether plants ready on a day are there for a target, neither too late nor sold."""
    return ready_by - ONE_YEAR < ready_on <= ready_by


def _take(row, free, missing, assurance):
    (sure,) = numbers_through(free, row.share, (assurance,))
    if sure <= missing:
        return Taken(row, free, sure)
    return Taken(row, to_start(missing, (row.share,), assurance), missing)


def rows_of(stretches: Sequence[Stretch], shares: Sequence[Beta], started: int) -> Iterable[Row]:
    """Yield how the chain goes on average; what is begun is through or lost, plant by plant."""
    reached = [float(started)]
    for share in shares:
        reached.append(reached[-1] * mean_of(share))
    numbers = [round(number) for number in reached]
    for stretch, share, (begun, through) in zip(stretches, shares, pairwise(numbers), strict=True):
        yield Row(stretch, share, begun, through)
