"""Plants that have stood long in the same pot, what keeping them costs, and what could be done."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache

from django.db.models import Sum

from inventory.models import Container, CostEntry, Lot, LotBalance
from inventory.queries.in_pot import in_pot_since
from inventory.queries.ledger_rows import parts
from inventory.queries.on_hand import in_force
from inventory.queries.takes import TakesBook
from sales.queries.demand import sold_lately
from sales.queries.prices import PriceBook

# Common practice: after two growing seasons in one pot the roots circle and the price falls.
MONTHS = 24
DAYS_OF_YEAR = 365


@dataclass(frozen=True)
class ShiftUp:
    """One plant in the next larger container: what potting it costs and what it then sells for."""

    container: Container
    price: Decimal
    takes: Fraction | None


@dataclass(frozen=True)
class LongInPot:
    """A lot that has been in its pot since `since`; money is in the currency unit.

    `holding` is what a month of keeping it was charged, from the last twelve; `sold` how many
    plants of its kind sold in them.
    """

    lot: Lot
    on_hand: int
    since: date
    months: int
    cost: Decimal
    holding: Decimal
    price: Decimal | None
    sold: int
    shift: ShiftUp | None

    @property
    def unit_cost(self) -> Decimal:
        return self.cost / self.on_hand

    @property
    def holding_each(self) -> Decimal:
        """What keeping one plant costs in a month."""
        return self.holding / self.on_hand

    @property
    def months_to_sell(self) -> int | None:
        """How long the lot lasts if plants of its kind sell as in the last twelve months."""
        return -(-12 * self.on_hand // self.sold) if self.sold > 0 else None

    @property
    def kept_until_sold(self) -> Decimal | None:
        """What keeping one plant costs on average until it is sold: half the time."""
        months = self.months_to_sell
        return None if months is None else self.holding_each * months / 2

    @property
    def room_to_mark_down(self) -> Decimal | None:
        """How far the price may fall before a plant brings less than it has cost."""
        return None if self.price is None else max(self.price - self.unit_cost, Decimal(0))

    @property
    def gain_of_shift(self) -> Fraction | None:
        """What a plant brings more in the larger pot, less what potting it takes."""
        if self.shift is None or self.price is None or self.shift.takes is None:
            return None
        return Fraction(self.shift.price) - Fraction(self.price) - self.shift.takes


def long_in_pot(on: date, months: int = MONTHS) -> list[LongInPot]:
    """Return the lots for sale in the same pot for `months` or more, the longest first."""
    balances = list(
        LotBalance.objects.filter(on_hand__gt=0, lot__container__kind=Container.Kind.SALE)
        .select_related("lot__plant", "lot__container", "place")
        .order_by("lot__code")
    )
    since = in_pot_since(balance.lot_id for balance in balances)
    long = [b for b in balances if whole_months(since[b.lot_id], on) >= months]
    holding = _charged([balance.lot_id for balance in long], on)
    prices, sold, shifts = PriceBook(on), sold_lately(on), _Shifts()
    rows = [
        LongInPot(
            b.lot,
            b.on_hand,
            since[b.lot_id],
            whole_months(since[b.lot_id], on),
            b.cost,
            holding.get(b.lot_id, Decimal(0)) / 12,
            prices.amount(b.lot.plant_id, b.lot.container_id, grade=b.lot.grade),
            sold.get((b.lot.plant_id, b.lot.container_id), 0),
            shifts.of(b.lot, prices),
        )
        for b in long
    ]
    return sorted(rows, key=lambda row: (row.since, row.lot.code))


def whole_months(since: date, on: date) -> int:
    """Return the whole months gone by."""
    return (on.year - since.year) * 12 + on.month - since.month - (on.day < since.day)


def _charged(lots, on):
    """Return {lot: what it was charged within the last year}."""
    found = {}
    for chunk in parts(lots):
        year = {"date__gt": on - timedelta(days=DAYS_OF_YEAR), "date__lte": on}
        entries = in_force(CostEntry.objects.filter(lot__in=chunk, **year)).order_by()
        found |= dict(entries.values("lot").annotate(n=Sum("amount")).values_list("lot", "n"))
    return found


class _Shifts:
    """What the next larger container offers a plant, each recipe asked for once."""

    def __init__(self):
        self.sizes = list(
            Container.objects.filter(kind=Container.Kind.SALE, in_use=True).order_by("position")
        )
        self.book = cache(TakesBook)

    def of(self, lot, prices):
        larger = [size for size in self.sizes if size.position > lot.container.position]
        priced = ((size, prices.amount(lot.plant_id, size.pk)) for size in larger)
        found = next(((size, price) for size, price in priced if price is not None), None)
        return ShiftUp(*found, self._takes(lot.plant, found[0])) if found else None

    def _takes(self, plant, container):
        takes = self.book(plant).takes("pot_up", container.pk)
        return takes.each if takes.is_known else None
