"""Holds as people ask for them: what is kept, where it stands, what ends, what is short."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, QuerySet

from inventory.models import LotBalance
from sales.models import Buyer, Hold, HoldChange, HoldLine
from sales.promising import Portion
from sales.queries.deposits import NO_DEPOSIT, Deposit, deposits_of
from sales.queries.promises import Promised, promised

# What ended longer ago than this is no longer asked about on Today.
ASKED_FOR = timedelta(days=60)
SOON = timedelta(days=7)


@dataclass(frozen=True)
class Place:
    """Plants of one lot that serve a line, and where they stand."""

    balance: LotBalance
    portion: Portion


@dataclass(frozen=True)
class LineStanding:
    """One line of a hold: what of it is ready, what still grows, what it is short."""

    line: HoldLine
    places: list[Place]
    short: int = 0

    @property
    def ready(self) -> int:
        return sum(one.portion.plants for one in self.places if not one.portion.is_growing)

    @property
    def growing(self) -> int:
        return sum(one.portion.plants for one in self.places if one.portion.is_growing)

    @property
    def ready_on(self) -> date | None:
        """The day the last of its growing plants are ready, where somebody has said so."""
        days = [one.portion.ready_on for one in self.places if one.portion.ready_on]
        return max(days, default=None)

    @property
    def there_or_expected(self) -> int:
        return self.ready + self.growing


@dataclass(frozen=True)
class HoldStanding:
    """A hold with all its lines on a day."""

    hold: Hold
    lines: list[LineStanding]
    on: date
    deposit: Deposit = NO_DEPOSIT

    @property
    def open(self) -> int:
        return sum(one.line.open for one in self.lines)

    @property
    def taken(self) -> int:
        return sum(one.line.taken for one in self.lines)

    @property
    def short(self) -> int:
        return sum(one.short for one in self.lines)

    @property
    def growing(self) -> int:
        return sum(one.growing for one in self.lines)

    @property
    def is_ended(self) -> bool:
        return self.hold.until < self.on

    @property
    def ends_soon(self) -> bool:
        return not self.is_ended and self.hold.until <= self.on + SOON

    @property
    def state(self) -> tuple[str, str]:
        """Return its state in words, and the shape that goes with it."""
        if not self.open:
            return ("all handed over", "ready") if self.taken else ("let go", "")
        if self.is_ended:
            return "ended, free again", "lost"
        if self.short:
            return f"{self.short} short", "lost"
        return ("some still grow", "held") if self.growing else ("ready", "ready")


def open_holds(on: date) -> list[HoldStanding]:
    """Return the holds with plants still to hand over, those that end first on top."""
    return standings(_with_open(HoldLine.objects.all()), on)


def holds_of(entries: Collection[Buyer], on: date) -> list[HoldStanding]:
    """Return what is kept for all entries of a buyer."""
    return standings(_with_open(HoldLine.objects.filter(hold__buyer__in=entries)), on)


def asked_about(on: date) -> list[HoldStanding]:
    """Return the holds that Today asks about: in force, or ended not long ago."""
    return standings(_with_open(HoldLine.objects.filter(hold__until__gte=on - ASKED_FOR)), on)


def standing_of(hold: Hold, on: date) -> HoldStanding:
    """Return one hold with all its lines, those let go included."""
    return standings(_with_all(HoldLine.objects.filter(hold=hold).with_taken()), on)[0]


def changes_of(hold: Hold) -> list[HoldChange]:
    """Return what happened to a hold, newest first; the newest in force is `undoable`."""
    rows = hold.changes.select_related("reversed_by", "entered_by", "reverses")
    rows = list(rows.prefetch_related("numbers__line__plant", "numbers__line__container"))[::-1]
    counting = [row for row in rows if not (row.reverses_id or getattr(row, "reversed_by", None))]
    for row in rows:
        row.undoable = bool(counting) and row is counting[0]
        row.is_made = row is rows[-1]
    return rows


def standings(lines: QuerySet, on: date) -> list[HoldStanding]:
    """Return the holds of some lines with what serves them on a day."""
    holds: dict[int, list[HoldLine]] = defaultdict(list)
    for line in lines:
        holds[line.hold_id].append(line)
    if not holds:
        return []
    found = promised(on)
    places = _places_of(found)
    deposits = deposits_of([rows[0].hold for rows in holds.values()], on)
    return [
        HoldStanding(
            rows[0].hold,
            [
                LineStanding(line, places[line.pk], found.allocation.short.get(line.pk, 0))
                for line in rows
            ],
            on,
            deposits.get(rows[0].hold_id, NO_DEPOSIT),
        )
        for rows in sorted(holds.values(), key=lambda rows: (rows[0].hold.until, rows[0].hold_id))
    ]


def _places_of(found: Promised) -> dict[int, list[Place]]:
    lots = {portion.lot for portion in found.allocation.portions}
    balances = LotBalance.objects.select_related("lot__container", "place").in_bulk(lots)
    places: dict[int, list[Place]] = defaultdict(list)
    for portion in found.allocation.portions:
        places[portion.line].append(Place(balances[portion.lot], portion))
    return places


def _with_open(lines: Iterable) -> QuerySet:
    return _with_all(lines.with_taken().filter(quantity__gt=F("taken")))


def _with_all(lines):
    return lines.select_related("hold__buyer__same_as", "plant", "container", "lot").order_by(
        "hold__until", "hold", "pk"
    )
