"""What is promised to buyers, and which plants serve it, now or at the end of a day."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from django.db import connection
from django.db.models import Q
from django.utils import timezone

from inventory.held import Held
from inventory.models import Lot
from inventory.queries.expected import expected_plants
from inventory.queries.holding import holdings_of
from inventory.queries.ledger_rows import marks
from sales.models import Hold, HoldLine, StandDay
from sales.promising import Allocation, Promise, Stock, allocate, fits
from sales.queries.put_out import PutOut, put_out

# A tray stands below every size for sale.
TRAY = -1
# Of a sale's few plants there is nearly always nothing. Only an open stand has plants out.
IS_ANY_PROMISED = """
SELECT EXISTS (SELECT 1 FROM sales_holdline WHERE {which}),
       EXISTS (SELECT 1 FROM sales_standday WHERE state = 'open')
"""
STOCK_FACTS = ("container", "plant", "balance__measurement")


@dataclass(frozen=True)
class Promised:
    """The lines in force for some plants, the stocks that may serve them, and how they do."""

    lines: dict[int, HoldLine | PutOut]
    stocks: list[Stock]
    allocation: Allocation

    def beside(self, keeper: Hold | StandDay | None) -> "Promised":
        """Return what is promised beside what one keeper has: what that one may not take."""
        if keeper is None:
            return self
        others = [line for line in self.lines.values() if line.keeper != keeper]
        return _served(others, self.stocks)


def promised(on: date | None = None, plants: Collection[int] | None = None) -> Promised:
    """Return what is promised on a day of some plants, or of all, and what serves it.

    Where nothing is promised no stock is looked up.
    """
    on = on or timezone.localdate()
    lines = promised_lines(on, plants)
    if not lines:
        return Promised({}, [], Allocation())
    return _served(lines, stocks_of({line.plant_id for line in lines}, on))


def _served(lines, stocks):
    by_key = {line.pk: line for line in lines}
    return Promised(by_key, stocks, allocate(map(promise_of, lines), stocks))


def promised_lines(on: date, plants: Collection[int] | None = None) -> list[HoldLine | PutOut]:
    """Return the lines in force on a day with something still to hand over, or out at a stand."""
    is_any_held, is_any_out = _is_any_promised(plants)
    lines: list[HoldLine | PutOut] = []
    if is_any_held:
        rows = HoldLine.objects.promised(on)
        rows = rows.select_related("hold__buyer", "plant", "container", "lot")
        lines += rows if plants is None else rows.filter(plant__in=plants)
    if is_any_out:
        lines += (line for line in put_out(on, plants) if line.open)
    return lines


def _is_any_promised(plants) -> tuple[bool, bool]:
    """Say whether there may be any line of a hold to ask for, and any plants out at a stand."""
    which = "TRUE" if plants is None else f"plant_id IN ({marks(plants)})"
    with connection.cursor() as cursor:
        cursor.execute(IS_ANY_PROMISED.format(which=which), [*(plants or ())])
        return cursor.fetchone()


def promise_of(line: HoldLine | PutOut, plants: int | None = None) -> Promise:
    """Return a line as the allocation reads it, of its open plants unless told otherwise."""
    return Promise(
        line=line.pk,
        plant=line.plant_id,
        container=line.container_id,
        position=position_of(line.container),
        plants=line.open if plants is None else plants,
        until=line.until or date.max,
        grade=line.grade,
        lot=line.lot_id,
        ahead=line.ahead,
    )


def stocks_of(plants: Iterable[int], on: date) -> list[Stock]:
    """Return what each lot of some plants holds at the end of a day."""
    lots = list(_standing(plants, on).select_related(*STOCK_FACTS))
    holdings = holdings_of([lot.pk for lot in lots], on)
    on_hand = {lot: plants for lot, (plants, *_) in holdings.items()}
    expected = expected_plants(lots, on_hand)
    return [_stock(lot, on_hand[lot.pk], expected[lot.pk], on) for lot in lots if on_hand[lot.pk]]


def is_ready(lot: Lot, on: date) -> bool:
    """Say whether a lot's plants can be sold on a day as what they stand in.

    What stands in a tray is sold as it is; its day is that of the plants it will become.
    """
    return not (lot.container.for_sale and lot.ready_on and lot.ready_on > on)


def ready_by(on: date, lot: str = "") -> Q:
    """Return the condition that lots are ready by a day; `lot` is the way to the lot."""
    way = f"{lot}__" if lot else ""
    return Q(**{f"{way}ready_on__isnull": True}) | Q(**{f"{way}ready_on__lte": on})


def position_of(container) -> int:
    """Return where a container stands among the sizes."""
    return container.position if container.for_sale else TRAY


def held_of_lots(on: date | None = None) -> dict[int, list[Held]]:
    """Return {lot: for whom its plants are held} at the end of a day, or now."""
    found = promised(on)
    held: dict[int, list[Held]] = {}
    for portion in found.allocation.portions:
        row = _held(found.lines[portion.line], portion.used, portion.is_growing)
        held.setdefault(portion.lot, []).append(row)
    for line, number in found.allocation.short.items():
        for stock in found.stocks:
            if fits(stock, promise_of(found.lines[line])):
                row = _held(found.lines[line], 0, found.lines[line].ahead, number)
                held.setdefault(stock.lot, []).append(row)
    return held


def short_without(taken: Mapping[int, int], parted: bool = False) -> list[Held]:
    """Return the promises that fall shorter where {lot: plants} leave today, each by how much.

    If only `parted` from their lot they are still there, as lots of their own.
    """
    plants = set(Lot.objects.filter(pk__in=taken).values_list("plant", flat=True))
    now = promised(plants=plants)
    if not now.lines:
        return []
    stocks = [
        replace(stock, plants=max(0, stock.plants - taken.get(stock.lot, 0)))
        for stock in now.stocks
    ]
    if parted:
        stocks += [
            replace(stock, lot=-stock.lot, plants=min(taken[stock.lot], stock.plants))
            for stock in now.stocks
            if stock.lot in taken
        ]
    after = allocate(map(promise_of, now.lines.values()), stocks)
    return [
        _held(now.lines[pk], 0, now.lines[pk].ahead, number)
        for pk, number in after.shorter_than(now.allocation).items()
    ]


def _held(line, plants, ahead, short=0):
    keeper = line.keeper
    return Held(plants, keeper.party, line.until, keeper.get_absolute_url(), ahead, short)


def _standing(plants, on):
    lots = Lot.objects.filter(plant__in=plants, began_on__lte=on)
    # For a day gone by, lots that are empty now may have held plants then.
    if on >= timezone.localdate():
        return lots.filter(balance__on_hand__gt=0)
    return lots.filter(Q(balance__on_hand__gt=0) | Q(balance__last_on__gte=on))


def _stock(lot, plants, expected, on):
    ready = is_ready(lot, on)
    return Stock(
        lot=lot.pk,
        plant=lot.plant_id,
        container=lot.container_id,
        position=position_of(lot.container),
        plants=plants,
        began_on=lot.began_on,
        is_ready=ready,
        ready_on=None if ready and lot.container.for_sale else lot.ready_on,
        survival=Fraction(expected, plants),
        grade=lot.grade,
        size=lot.balance.size,
    )
