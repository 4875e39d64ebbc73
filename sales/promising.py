"""Which plants serve which promise: plain values in, plain values out.

A promise is a number of plants of one kind for one buyer until a day. A stock is what one
lot holds. Plants promised out of what is ready come from ready lots, the oldest first.
Plants ordered ahead come from what is growing and will be ready in time, and from ready lots
only where that is too little, so that an order for May leaves today's plants to be sold.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from inventory.sizes import Size

MOST = 10**9


@dataclass(frozen=True)
class Promise:
    """Plants of one line of a hold that are still to be handed over.

    `position` is that of the container among the sizes. With a `lot` only its plants do.
    """

    line: int
    plant: int
    container: int
    position: int
    plants: int
    until: date
    grade: str = ""
    lot: int | None = None
    ahead: bool = False


@dataclass(frozen=True)
class Stock:
    """Plants of one lot: `survival` is the share of them expected to live to be sold.

    `position` is that of its container, below every size for sale where it is a tray.
    `ready_on` is the day they are ready for sale, where somebody has said so.
    """

    lot: int
    plant: int
    container: int
    position: int
    plants: int
    began_on: date
    is_ready: bool = True
    ready_on: date | None = None
    survival: Fraction = Fraction(1)
    grade: str = ""
    size: Size | None = None

    def sellable(self, plants: int) -> int:
        """Return how many of that many of its plants are there to be sold once it is ready."""
        return plants if self.is_ready else int(plants * self.survival)


@dataclass(frozen=True)
class Portion:
    """Plants of a lot that serve a promise; `used` of the lot's plants are held for them.

    `used` is more than `plants` where some are expected to be lost on the way.
    """

    line: int
    lot: int
    plants: int
    used: int
    ready_on: date | None
    is_growing: bool


@dataclass
class Allocation:
    """What serves each promise, how many plants each is short, and what each lot has left."""

    portions: list[Portion] = field(default_factory=list)
    short: dict[int, int] = field(default_factory=dict)
    left: dict[int, int] = field(default_factory=dict)

    def of_line(self, line: int) -> list[Portion]:
        return [row for row in self.portions if row.line == line]

    def held(self, lot: int) -> int:
        """Return how many plants of a lot are held."""
        return sum(row.used for row in self.portions if row.lot == lot)

    def shorter_than(self, before: "Allocation") -> dict[int, int]:
        """Return {line: by how many plants} for each promise shorter here than it was before."""
        more = {line: number - before.short.get(line, 0) for line, number in self.short.items()}
        return {line: number for line, number in more.items() if number > 0}


def allocate(promises: Iterable[Promise], stocks: Iterable[Stock]) -> Allocation:
    """Serve the promises from the stocks.

    First what is promised of ready plants, then what is ordered ahead; of either first
    what only one lot or grade can serve, then what is due first.
    """
    stocks = list(stocks)
    of_plant = defaultdict(list)
    for stock in stocks:
        of_plant[stock.plant].append(stock)
    result = Allocation(left={stock.lot: stock.plants for stock in stocks})
    for promise in sorted(promises, key=_turn):
        wanted = promise.plants
        for stock, is_growing in serving(promise, of_plant[promise.plant]):
            plants, used = _taken(wanted, result.left[stock.lot], stock, is_growing)
            if plants:
                wanted -= plants
                result.left[stock.lot] -= used
                ready_on = stock.ready_on if is_growing else None
                result.portions.append(
                    Portion(promise.line, stock.lot, plants, used, ready_on, is_growing)
                )
        if wanted:
            result.short[promise.line] = wanted
    return result


def could_serve(promise: Promise, allocation: Allocation, stocks: Iterable[Stock]) -> int:
    """Return how many plants that are left could serve a promise."""
    return sum(
        _taken(MOST, allocation.left[stock.lot], stock, is_growing)[0]
        for stock, is_growing in serving(promise, stocks)
    )


def serving(promise: Promise, stocks: Iterable[Stock]) -> Iterator[tuple[Stock, bool]]:
    """Yield (stock, whether it still grows) that can serve a promise, the first to take first."""
    fitting = [stock for stock in stocks if fits(stock, promise)]
    ready = [stock for stock in fitting if _is_ready_for(stock, promise)]
    if promise.ahead:
        growing = [
            stock
            for stock in fitting
            if stock not in ready and not (stock.ready_on and stock.ready_on > promise.until)
        ]
        for stock in sorted(growing, key=_nearest):
            yield stock, True
    for stock in sorted(ready, key=lambda stock: (stock.began_on, stock.lot)):
        yield stock, False


def _turn(promise):
    only = 0 if promise.lot else 1 if promise.grade else 2
    return promise.ahead, only, promise.until, promise.line


def fits(stock: Stock, promise: Promise) -> bool:
    """Say whether a lot is of the kind that was promised, or can grow into it."""
    if stock.plant != promise.plant or promise.lot not in (None, stock.lot):
        return False
    if stock.container == promise.container:
        return promise.grade in ("", stock.grade)
    return promise.ahead and stock.position < promise.position


def _is_ready_for(stock, promise):
    return stock.is_ready and stock.container == promise.container


def _nearest(stock):
    """Order growing lots: the largest plants first, then what is ready first."""
    return -stock.position, stock.ready_on or date.max, stock.began_on, stock.lot


def _taken(wanted, left, stock, is_growing):
    """Return (plants, plants of the lot used for them) that a stock gives."""
    survival = stock.survival if is_growing else Fraction(1)
    plants = min(wanted, int(left * survival))
    return (plants, min(left, -int(-plants // survival))) if plants else (0, 0)
