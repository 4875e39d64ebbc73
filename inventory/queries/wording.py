"""Say in the grower's words what an operation did. Pure text: nothing is looked up here."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from inventory.models import CostEntry, Count, Lot, Measurement, Movement, Operation, Placement
from inventory.papers import Paper
from inventory.size_words import told_size
from nursery.templatetags.nursery_tags import money, plain

CATEGORY_WORDS = {
    "cuttings": "cuttings and stock plants",
    "plants": "bought-in plants",
    "medium": "potting medium",
    "containers": "pots, trays and tags",
    "feed": "hormone and feed",
    "labour": "labour",
    "heat": "heat and utilities",
    "space": "space",
    "royalty": "royalty",
    "other": "other costs",
    "own_time": "own time",
}
LOST = (Movement.Kind.LOST, Movement.Kind.LOST_ABNORMAL)


@dataclass(frozen=True)
class Lines:
    """An operation with all its lines, or only those that concern one lot.

    Where they stand on the page of a lot, `about` is that lot: it need not be named. Of an
    entry that began many lots at once there are only the sums: plants and lots.
    """

    operation: Operation
    movements: Sequence[Movement] = ()
    costs: Sequence[CostEntry] = ()
    placements: Sequence[Placement] = ()
    counts: Sequence[Count] = ()
    measurements: Sequence[Measurement] = ()
    paper: Paper | None = None
    undone: "Lines | None" = field(default=None, repr=False)
    about: Lot | None = None
    summed: tuple[int, int] | None = None

    def of_kind(self, *kinds: str) -> list[Movement]:
        return [row for row in self.movements if row.kind in kinds]


def describe_lines(lines: Lines) -> str:
    """Return one sentence without a full stop: what was done, how many, which lot."""
    kind = lines.operation.kind
    if kind in BEGINNINGS:
        return _begun(lines)
    return WORDS[kind](lines)


def plants(movements: Sequence[Movement]) -> int:
    """Return the plants in all of `movements`."""
    return sum(row.quantity for row in movements)


def costs_in_words(costs: Sequence[CostEntry]) -> str:
    """Write amounts by category, those of one category added up."""
    sums: dict = {}
    for row in costs:
        sums[row.category] = sums.get(row.category, 0) + row.amount
    return ", ".join(f"{CATEGORY_WORDS[c]} {money(sums[c])}" for c in CATEGORY_WORDS if c in sums)


def losses_in_words(movements: Sequence[Movement]) -> str:
    """Write how many were lost to what, the largest loss first."""
    causes: Counter = Counter()
    for row in movements:
        causes[_lower(str(row.cause))] += row.quantity
    if len(causes) == 1:
        return next(iter(causes))
    return ", ".join(f"{plain(number)} {cause}" for cause, number in causes.most_common())


BEGINNINGS = {
    Operation.Kind.STICK: "Stuck {} cuttings{}",
    Operation.Kind.SOW: "Sowed {} seeds{}",
    Operation.Kind.DIVIDE: "Divided, which gave {} plants{}",
    Operation.Kind.RECEIVE: "Received {} plants{}",
    Operation.Kind.OPENING: "Entered {} plants{} as opening stock",
}


def _begun(lines):
    if lines.summed:
        number, lots = lines.summed
        said = BEGINNINGS[lines.operation.kind].format(plain(number), "")
        return f"{said}, {plain(lots)} lots"
    row = lines.movements[0]
    plant = "" if lines.about else f" of {row.to_lot.plant}"
    said = BEGINNINGS[lines.operation.kind].format(plain(plants(lines.movements)), plant)
    return f"{said}, batch {row.batch}{_lot(lines, row.to_lot, ',')}{_at(lines)}"


def _cost(lines):
    lots = {row.lot_id: row.lot for row in lines.costs}
    total = money(sum(row.amount for row in lines.costs))
    known = [word for c, word in CATEGORY_WORDS.items() if _has_cost(lines, c)]
    where = _lots(lines, lots.values(), "to")
    return f"Added {total} for {', '.join(known)}{where}"


def _root_count(lines):
    row = lines.counts[0]
    lost = plants(lines.of_kind(*LOST))
    ending = f", {plain(lost)} not" if lost else ", all of them"
    return f"Counted {plain(row.found)} rooted{_lot(lines, row.lot, ' in')}{ending}"


def _loss(lines):
    lots = {row.from_lot_id: row.from_lot for row in lines.movements}
    number = plain(plants(lines.movements))
    where = _lots(lines, lots.values(), "of" if len(lots) == 1 else "in")
    joint = ", " if len({row.cause_id for row in lines.movements}) == 1 else ": "
    return f"Wrote off {number}{where}{joint}{losses_in_words(lines.movements)}"


def _pot_up(lines):
    row = lines.of_kind(Movement.Kind.MOVED)[0]
    lost = plants(lines.of_kind(*LOST))
    said = (
        f"Potted up {plain(row.quantity)}{_lot(lines, row.from_lot, ' from')} into "
        f"{row.to_lot.container}{_lot(lines, row.to_lot, ',')}{_at(lines)}"
    )
    return f"{said}; {plain(lost)} lost on the way" if lost else said


def _count(lines):
    row = lines.counts[0]
    said = f"Counted {plain(row.found)}{_lot(lines, row.lot, ' in')}"
    if len(lines.counts) > 1:
        number = plain(sum(count.found for count in lines.counts))
        said = f"Counted {number} in {len(lines.counts)} lots"
    found, lost = plants(lines.of_kind(Movement.Kind.FOUND)), plants(lines.of_kind(*LOST))
    if found:
        return f"{said}, {plain(found)} more than on the books"
    return f"{said}, {plain(lost)} fewer than on the books" if lost else f"{said}, as on the books"


def _move(lines):
    if not lines.movements:
        return f"Moved{_lot(lines, lines.placements[0].lot, '')}{_at(lines, 'to')}"
    row = lines.movements[0]
    return (
        f"Moved {plain(row.quantity)}{_lot(lines, row.from_lot, ' from')}{_at(lines, 'to')}"
        f"{_lot(lines, row.to_lot, ' as')}"
    )


def _blend(lines):
    row = lines.movements[0]
    number = plain(row.quantity)
    if lines.about == row.to_lot:
        return f"Blended in all {number} of lot {row.from_lot}"
    return f"Blended all {number}{_lot(lines, row.from_lot, ' of')} into lot {row.to_lot}"


def _measure(lines):
    sizes = {row.lot_id: told_size(row.size, row.lot.plant) for row in lines.measurements}
    parted = [_parted(lines, row, sizes) for row in lines.movements]
    staying = [sizes[lot] for lot in sizes.keys() - {row.to_lot_id for row in lines.movements}]
    words = "those that stay are {}" if parted else "all of them are {}"
    lot = lines.movements[0].from_lot if parted else lines.measurements[0].lot
    told = "; ".join([*parted, *map(words.format, staying)])
    return f"Measured{_lot(lines, lot, '')}: {told}"


def _parted(lines, row, sizes):
    size = sizes.get(row.to_lot_id)
    are = " are" if row.quantity > 1 else " is"
    return (
        f"{plain(row.quantity)}{f'{are} {size},' if size else are} now"
        f"{_lot(lines, row.to_lot, '') or ' here'}"
    )


def _use(lines):
    return f"Used {_of_lots(lines)}"


def _give(lines):
    return f"Gave away {_of_lots(lines)}"


def _sale(lines):
    paper = lines.paper
    ending = f" to {paper.party}, {paper.number}" if paper else ""
    return f"Sold {_of_lots(lines)}{ending}"


def _return(lines):
    back = lines.of_kind(Movement.Kind.RETURNED)
    lots = {row.to_lot_id: row.to_lot for row in back}
    paper = f", {lines.paper.number}" if lines.paper else ""
    lost = " and were thrown away" if lines.of_kind(*LOST) else ""
    where = _lots(lines, lots.values(), "to")
    return f"{plain(plants(back))} sold plants came back{where}{lost}{paper}"


def _undo(lines):
    return f"Undid: {_lower(describe_lines(lines.undone))}" if lines.undone else "Undid an entry"


WORDS = {
    Operation.Kind.COST: _cost,
    Operation.Kind.ROOT_COUNT: _root_count,
    Operation.Kind.LOSS: _loss,
    Operation.Kind.POT_UP: _pot_up,
    Operation.Kind.COUNT: _count,
    Operation.Kind.MOVE: _move,
    Operation.Kind.BLEND: _blend,
    Operation.Kind.MEASURE: _measure,
    Operation.Kind.USE: _use,
    Operation.Kind.GIVE: _give,
    Operation.Kind.SALE: _sale,
    Operation.Kind.RETURN: _return,
    Operation.Kind.UNDO: _undo,
}


def _of_lots(lines):
    """Write "12 Thuja 'Smaragd' of lot A", or "40 plants of 3 lots"."""
    lots = {row.from_lot_id: row.from_lot for row in lines.movements}
    number = plain(plants(lines.movements))
    if list(lots.values()) == [lines.about]:
        return number
    names = {str(lot.plant) for lot in lots.values()}
    what = names.pop() if len(names) == 1 else "plants"
    return f"{number} {what}{_lots(lines, lots.values(), 'of')}"


def _lots(lines, lots, word):
    """Write "of lot A" or "of 3 lots"; nothing for the lot the lines are about."""
    lots = list(lots)
    if len(lots) == 1:
        return _lot(lines, lots[0], f" {word}")
    return f" {word} {len(lots)} lots"


def _lot(lines, lot, joint):
    return "" if lot == lines.about else f"{joint} lot {lot}"


def _at(lines, word="at"):
    return f" {word} {lines.placements[0].place}" if lines.placements else ""


def _has_cost(lines, category):
    return any(row.category == category for row in lines.costs)


def _lower(text):
    """Begin in a small letter, unless the word is all capitals."""
    return text[:1].lower() + text[1:] if not text[:2].isupper() else text
