"""Invent the history of a nursery: batches struck, potted up, lost, sold and returned.

Batches come in pairs of one plant. A batch is 500 movements on five lots: a tray, three
lots in #1 and one in #3. The last STANDING pairs still hold plants, whatever the length
of the history; all others are sold out.
"""

from collections.abc import Iterator
from dataclasses import dataclass

DAYS = 3650
STANDING = 8
MOVEMENTS_OF_A_PAIR = 1_000
LOTS_OF_A_BATCH = 5
TRAY, ONE_A, ONE_B, ONE_C, THREE = range(LOTS_OF_A_BATCH)
SALE_LOTS = (ONE_A, ONE_B, ONE_C, THREE)
LEFT = {False: 12, True: 400}
BLENDED = 20
WINTER_LOSS = 15


@dataclass(slots=True)
class Entry:
    """One operation: its movements as (kind, from lot, to lot, quantity, batch, cause)
    and its costs as (lot, category, amount). `of` is the sale a return gives back."""

    day: int
    kind: str
    moves: tuple = ()
    costs: tuple = ()
    of: "Entry | None" = None
    undone: bool = False
    place: int = 0
    movement_id: int = 0


def history(pairs: int) -> list[Entry]:
    """Return the entries of so many pairs of batches, in order of date."""
    entries = []
    for pair in range(pairs):
        entries += Pair(pair, pairs).entries()
    entries.sort(key=lambda entry: entry.day)
    return entries


def start_of(pair: int, pairs: int) -> int:
    """Return the day on which a pair of batches is struck."""
    finished = pairs - STANDING
    if pair >= finished:
        return DAYS - 1000 + 40 * (pair - finished)
    return (DAYS - 1100) * pair // finished


class Pair:
    """Two batches of one plant, struck on one day. Some pairs blend their last #1 lots."""

    def __init__(self, pair: int, pairs: int):
        self.pair = pair
        self.stands = pair >= pairs - STANDING
        self.start = start_of(pair, pairs)
        self.last = DAYS - 1 if self.stands else self.start + 1050
        self.blends = pair % 5 == 0

    def entries(self) -> list[Entry]:
        found = []
        for member in (0, 1):
            batch = 2 * self.pair + member
            found += list(self._batch(batch, blended_away=self.blends and member == 1))
        if self.blends:
            source, target = _lot(2 * self.pair + 1, ONE_C), _lot(2 * self.pair, ONE_C)
            found.append(self._at(600, "blend", _moved(source, target, BLENDED)))
        return [*found, *self._sales_to_fill(found)]

    def _batch(self, batch, *, blended_away) -> Iterator[Entry]:
        tray = _lot(batch, TRAY)
        ones = [_lot(batch, one) for one in (ONE_A, ONE_B, ONE_C)]
        three = _lot(batch, THREE)
        potted = 1_600
        yield self._at(
            0,
            "stick",
            ("begun", None, tray, 4 * potted, batch + 1, None),
            costs=((tray, "cuttings", 96_000_000),),
            place=1,
        )
        yield self._at(60, "root_count", _lost(tray, 4 * potted - 3 * potted - 50))
        for number, one in enumerate(ones):
            yield self._at(150 + number, "pot_up", _moved(tray, one, potted), costs=_potting(one))
            yield self._at(300 + number, "loss", _lost(one, WINTER_LOSS))
        yield self._at(310, "loss", _lost(ones[0], 7), undone=True)
        for number, one in enumerate(ones[:2]):
            yield self._at(400 + number, "pot_up", _moved(one, three, 650), costs=_potting(three))
        yield self._at(640, "loss", _lost(three, WINTER_LOSS))
        yield from self._running_costs([tray, *ones, three])

    def _running_costs(self, lots):
        for number, lot in enumerate(lots):
            first = (70, 210, 215, 220, 460)[number]
            for month in range(2 if number == 0 else 5):
                for category in ("heat", "space"):
                    cost = (lot, category, 3_100_000 + 77 * month)
                    yield self._at(first + 30 * month, "cost", costs=(cost,))

    def _sales_to_fill(self, found):
        """Sell from all eight lots what makes up the movements, and clear what is over."""
        held = {}
        for entry in found:
            for _, source, target, quantity, *_ in () if entry.undone else entry.moves:
                held[source] = held.get(source, 0) - quantity
                held[target] = held.get(target, 0) + quantity
        lots = [_lot(2 * self.pair + m, kind) for m in (0, 1) for kind in SALE_LOTS]
        ends = [] if self.stands else [*lots, *(_lot(2 * self.pair + m, TRAY) for m in (0, 1))]
        returns = 2
        used = sum(2 if entry.undone else len(entry.moves) for entry in found)
        number = MOVEMENTS_OF_A_PAIR - used - returns - len(ends)
        for index, lot in enumerate(lots):
            sales = number // 8 + (index < number % 8)
            yield from self._sales(lot, sales, held)
        for lot in ends:
            yield Entry(self.last + 1, "give", (("given", lot, None, held[lot], None, None),))

    def _sales(self, lot, number, held):
        """Sell from one lot, evenly over its time; of the first sale of an A lot some return."""
        kind = (lot - 1) % LOTS_OF_A_BATCH
        first = self.start + (460 if kind == THREE else 200)
        blended_away = self.blends and lot == _lot(2 * self.pair + 1, ONE_C)
        last = self.start + 599 if blended_away else self.last - 30
        each = (held[lot] - LEFT[self.stands]) / number
        for index in range(number):
            # Every other sale is a little one; the next one makes up for it.
            quantity = max(1, int(each) + (-2 if index % 2 else 2))
            held[lot] -= quantity
            day = first + (last - first) * index // number
            sale = Entry(day, "sale", (("sold", lot, None, quantity, None, None),))
            yield sale
            if kind == ONE_A and index == 0:
                held[lot] += 1
                back = ("returned", None, lot, 1, None, None)
                yield Entry(day + 3, "return", (back,), of=sale)

    def _at(self, days, kind, *moves, **more):
        return Entry(self.start + days, kind, moves, **more)


def _lot(batch, kind):
    return LOTS_OF_A_BATCH * batch + kind + 1


def _lost(lot, quantity):
    return ("lost", lot, None, quantity, None, 1)


def _moved(source, target, quantity):
    return ("moved", source, target, quantity, None, None)


def _potting(lot):
    return (
        (lot, "containers", 55_120_001),
        (lot, "medium", 31_050_000),
        (lot, "labour", 44_000_007),
    )
