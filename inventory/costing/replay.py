"""Carry plants and their cost along the ledger, one line after another.

A lot is a list of whole numbers: the plants it holds, then its cost in each
category in millionths. Taking q of n plants takes q/n of every number in the
list, and so exactly q of the first; the last plants take what is left.
"""

from collections.abc import Iterable, Iterator
from datetime import date

from inventory.costing.categories import CATEGORIES

EMPTY = [0] * (1 + len(CATEGORIES))
NO_COST = EMPTY[1:]
COLUMN = {category: number for number, category in enumerate(CATEGORIES, start=1)}

Row = tuple
"""A ledger line: date, operation, is_cost, key, kind or category, from lot (of a
cost: its lot), to lot, quantity (of a cost: its amount), movement given back."""


class Overdrawn(Exception):
    """A line takes more plants than its lot holds at that moment."""

    def __init__(self, lot: int, held: int, wanted: int, on: date, operation: int):
        super().__init__(lot, held, wanted, on, operation)
        self.lot, self.held, self.wanted = lot, held, wanted
        self.on, self.operation = on, operation


def share(holding: list[int], quantity: int) -> list[int]:
    """Return what `quantity` of the plants in `holding` take with them.

    Each number is rounded half up to a whole millionth; nothing is lost,
    because what is taken here is taken away there.
    """
    held = holding[0]
    half = held >> 1
    return [(number * quantity + half) // held for number in holding]


def less(holding: list[int], taken: list[int]) -> list[int]:
    """Return `holding` without `taken`."""
    return [number - part for number, part in zip(holding, taken, strict=True)]


def plus(holding: list[int], added: list[int]) -> list[int]:
    """Return `holding` with `added`."""
    return [number + part for number, part in zip(holding, added, strict=True)]


def replay(
    rows: Iterable[Row],
    lots: dict[int, list[int]],
    *,
    given: dict[int, list[int]] | None = None,
    watched: frozenset[int] | set[int] = frozenset(),
    outside: dict[int, list[int]] | None = None,
) -> Iterator[tuple[int, list[int] | None, int]]:
    """Apply `rows`, in ledger order, to `lots`, and say line by line what was carried.

    Yields (key, carried, after): for a movement the plants and cost it carried
    and what its receiving lot held just after; for a cost entry (key, None, 1)
    where no plant was there to carry it, else (key, None, 0).

    `watched` are the movements that later lines give back, `given` holds what
    is left to give back of them, and `outside` what movements carry that come
    from lots not in `lots`. Raises Overdrawn where a lot would go below none.
    """
    given = {} if given is None else given
    for day, operation, is_cost, key, kind, source, target, count, of in rows:
        if is_cost:
            yield key, None, _charge(lots, source, COLUMN[kind], count)
            continue
        if of is not None:
            carried = _give_back(given, of, count)
            if source is not None:
                lots[source] = less(lots[source], carried)
        elif source is None:
            carried = [count, *NO_COST]
        elif source not in lots:
            carried = outside[key]
        elif count > lots[source][0]:
            raise Overdrawn(source, lots[source][0], count, day, operation)
        else:
            carried = _take(lots, source, count, kind)
        after = 0 if target is None else _bring(lots, target, carried)
        if key in watched:
            given[key] = carried
        yield key, carried, after


def _charge(lots, lot, column, amount):
    """Add a cost to a lot and return 0, or return 1 where no plant is there to carry it."""
    holding = lots[lot]
    if not holding[0]:
        return 1
    lots[lot] = holding = holding.copy()
    holding[column] += amount
    return 0


def _take(lots, source, count, kind):
    """Take plants out of a lot and return what they carry: nothing where they are lost."""
    holding = lots[source]
    if count == holding[0]:
        lots[source] = EMPTY
        return holding
    carried = [count, *NO_COST] if kind == "lost" else share(holding, count)
    lots[source] = less(holding, carried)
    return carried


def _bring(lots, target, carried):
    """Bring plants with their cost into a lot and return how many it then holds."""
    holding = lots[target]
    lots[target] = holding = plus(holding, carried) if holding[0] else carried
    return holding[0]


def _give_back(given, movement, count):
    left = given[movement]
    carried = share(left, count)
    given[movement] = less(left, carried)
    return carried
