"""Choose the lots that a sale takes from, leaving what is held for others. Ledger held."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from inventory.models import Lot, LotBalance
from inventory.queries.ledger_rows import marks
from inventory.queries.on_hand import on_hand_by
from nursery.columns import columns_of
from sales.errors import SaleRefused
from sales.models import HoldLine, StandDay
from sales.promising import allocate
from sales.queries.promises import Promised, is_ready, promise_of, promised
from sales.queries.words import held_words

# The lots that hold plants now, each with what its balance says of their number.
STANDING = f"""
SELECT {columns_of(Lot, "lot")}, balance.on_hand, balance.last_on
FROM inventory_lot AS lot JOIN inventory_lotbalance AS balance ON balance.lot_id = lot.id
WHERE lot.plant_id IN ({{plants}}) AND lot.container_id IN ({{containers}})
  AND balance.on_hand > 0
ORDER BY lot.began_on, lot.id
"""


class Shelf:
    """The plants that one sale may take, fewer with each that it takes.

    `handed` are the plants of holds that this sale hands over: these are no longer held.
    A sale at a stand may take what is out there.
    """

    def __init__(
        self,
        plants: set[int],
        on: date,
        handed: dict[HoldLine, int],
        stand: StandDay | None = None,
    ):
        self.on = on
        self.promised: Promised = promised(on, plants)
        lines = self.promised.lines.values()
        self.out = {line.lot_id: line for line in lines if line.keeper == stand}
        others = [promise_of(line) for line in lines if line not in handed and line.keeper != stand]
        self.left = allocate(others, self.promised.stocks).left
        self.promises = others + [
            promise_of(line, line.open - handed[line])
            for line in lines
            if handed.get(line, line.open) < line.open
        ]
        self.taken: dict[int, int] = {}

    def take(self, lot: Lot, most: int) -> int:
        """Take as many of a lot as are free, up to `most`; return how many.

        The lot was read with its balance, under the ledger's lock.
        """
        on_hand = on_hand_by(lot.balance, self.on) - self.taken.get(lot.pk, 0)
        quantity = max(0, min(most, on_hand, self.left.get(lot.pk, on_hand)))
        self.take_all(lot, quantity)
        return quantity

    def take_all(self, lot: Lot, quantity: int) -> None:
        """Take plants of the lot that was asked for, whatever is held of it."""
        self.taken[lot.pk] = self.taken.get(lot.pk, 0) + quantity
        if lot.pk in self.left:
            self.left[lot.pk] -= quantity

    def refuse_held(self) -> None:
        """Raise SaleRefused where what was taken leaves a promise shorter than it was."""
        promises = [*self.promises, *self._still_out()]
        if not promises:
            return
        stocks = [
            replace(row, plants=max(0, row.plants - self.taken.get(row.lot, 0)))
            for row in self.promised.stocks
        ]
        before, after = self.promised.allocation, allocate(promises, stocks)
        for line, more in after.shorter_than(before).items():
            raise _held(self.promised.lines[line], more)

    def _still_out(self):
        """Yield what stays out at this sale's stand: its plants are sold first of their lot."""
        for lot, line in self.out.items():
            if left := max(0, line.open - self.taken.get(lot, 0)):
                yield promise_of(line, left)


def lots_of_items(
    items: Iterable, on: date, stand: StandDay | None = None, *, despite_holds: bool = False
) -> list[list[tuple[Lot, int]]]:
    """Return for each item the (lot, quantity) it takes: its lot, else the oldest ready ones.

    Lots asked for are set aside first, so that items of any lot leave them alone. At a stand
    those that are out come first. Raises SaleRefused where too few are ready and free, and
    where a lot that was asked for is needed for what is held, unless it is taken `despite_holds`.
    """
    items = list(items)
    handed: dict[HoldLine, int] = {}
    for item in items:
        if item.of_hold:
            handed[item.of_hold] = handed.get(item.of_hold, 0) + item.quantity
    shelf = Shelf({item.plant.pk for item in items}, on, handed, stand)
    ready = ready_lots(items, on)
    found = {
        place: list(_lots_for(items[place], shelf, ready)) for place in _choosiest_first(items)
    }
    if not despite_holds:
        shelf.refuse_held()
    return [found[place] for place in range(len(items))]


def _choosiest_first(items) -> list[int]:
    """Return the places of items: those of a lot, those of a grade, and what any lot can give."""
    return sorted(range(len(items)), key=lambda n: (not items[n].lot, not _grade(items[n])))


def _grade(item) -> str:
    return item.of_hold.grade if item.of_hold else ""


def ready_lots(items: Iterable, on: date) -> dict[tuple[int, int], list[Lot]]:
    """Return the lots that can give the plants of items, oldest first, by (plant, container)."""
    items = [item for item in items if not item.lot]
    if not items:
        return {}
    plants = {item.plant.pk: item.plant for item in items}
    containers = {item.container.pk: item.container for item in items}
    asked = STANDING.format(plants=marks(plants), containers=marks(containers))
    lots: dict[tuple[int, int], list[Lot]] = defaultdict(list)
    for lot in Lot.objects.raw(asked, [*plants, *containers]):
        held = {"lot_id": lot.pk, "on_hand": lot.on_hand, "last_on": lot.last_on}
        lot.balance = LotBalance.from_db(lot._state.db, list(held), list(held.values()))
        lot.plant, lot.container = plants[lot.plant_id], containers[lot.container_id]
        if is_ready(lot, on):
            lots[lot.plant_id, lot.container_id].append(lot)
    return lots


def _lots_for(item, shelf, ready):
    if item.lot:
        shelf.take_all(item.lot, item.quantity)
        yield item.lot, item.quantity
        return
    wanted = item.quantity
    grade = _grade(item)
    lots = ready.get((item.plant.pk, item.container.pk), ())
    for lot in sorted(lots, key=lambda lot: lot.pk not in shelf.out):
        if not wanted:
            break
        if grade in ("", lot.grade) and (quantity := shelf.take(lot, wanted)):
            wanted -= quantity
            yield lot, quantity
    if wanted:
        raise _too_few(item, item.quantity - wanted, shelf)


def _too_few(item, free, shelf):
    words = held_words(
        (line, portion.plants)
        for portion in shelf.promised.allocation.portions
        if not portion.is_growing
        and (line := shelf.promised.lines[portion.line]) != item.of_hold
        and (line.plant_id, line.container_id) == (item.plant.pk, item.container.pk)
    )
    otherwise = "let go of a hold" if words else "count the lots first"
    return SaleRefused(
        f"{free} of {item.plant} in {item.container} are free; "
        f"{item.quantity} cannot be sold. {words}Sell fewer, or {otherwise}.",
        field="quantity",
    )


def _held(line, more):
    words = held_words([(line, line.open)])
    return SaleRefused(
        f"{line.plant} in {line.container}: {words}{more} of them would be sold to another. "
        "Sell fewer, take another lot, or let go of the hold.",
        field="quantity",
    )
