"""Holds, the days lots are ready, and their grades, in the ledger file.

`ready` says that `lot` is ready on its date, `grade` which `grade` its plants are. `hold`
promises `quantity` of a plant and container, or of a lot, to `buyer` until the day `until`,
at `price` where one was agreed; `treatment` is "ahead" where they still grew. `hold` is
the key of the line: what stands before its point is common to all lines of one hold. A sale
that handed its plants over bears the key too, and a `payment` on the buyer's account that is
its deposit the part before the point.
"""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from itertools import groupby
from operator import itemgetter

from django.db.models import Exists, OuterRef, QuerySet

from inventory.models import Lot, Movement
from inventory.operations.grade import grade_lot
from sales.ledger_file.book import ImportBook
from sales.ledger_file.rows import Row
from sales.models import (
    HandedOver,
    Hold,
    HoldChange,
    HoldDeposit,
    HoldLine,
    HoldNumber,
    Payment,
)
from sales.operations.price import whole_in_currency

AHEAD = "ahead"
HOLD_EVENTS = ("hold", "ready", "grade")


class HoldReader:
    """Keeps what the rows say of holds until all lots and sales are written."""

    def __init__(self, book: ImportBook):
        self.book = book
        self.rows: dict[str, Row] = {}
        self.ready: dict[str, Row] = {}
        self.graded: dict[str, Row] = {}
        self.handed: list[tuple[Row, Movement]] = []
        self.deposits: list[tuple[Row, Payment]] = []

    def read(self, row: Row) -> None:
        """Read a row of one of the events."""
        of_lots = {"ready": self.ready, "grade": self.graded}.get(row.text("event"))
        if of_lots is not None:
            of_lots[row.needed("lot", "the code of a lot")] = row
            return
        key = row.needed("hold", "a key for the line, as 3.1")
        if key in self.rows:
            raise row.error("hold", f"{key} stands in an earlier row; write another key.")
        self.rows[key] = row

    def sold(self, row: Row, movement: Movement) -> None:
        """Take note of a sale that hands over plants of a hold."""
        if row.text("hold"):
            self.handed.append((row, movement))

    def paid(self, row: Row, payment: Payment) -> None:
        """Take note of money on an account that is the deposit of a hold."""
        if row.text("hold"):
            self.deposits.append((row, payment))

    def write(self) -> None:
        """Write all of it, once the operations are written."""
        for row in self.ready.values():
            self._make_ready(row)
        for row in self.graded.values():
            grade_lot(lot=self._lot(row), grade=row.needed("grade", "the grade, as A"))
        holds = defaultdict(list)
        for key, row in self.rows.items():
            holds[key.partition(".")[0]].append((key, row))
        lines, made = {}, {}
        for key, keyed in holds.items():
            lines |= self._hold(keyed)
            made[key] = lines[keyed[0][0]].hold
        self._hand_over(lines)
        self._deposit(made)

    def _make_ready(self, row):
        lot = self._lot(row)
        if row.date < lot.began_on:
            raise row.error("date", f"lot {lot} began later; write the day it is ready.")
        Lot.objects.filter(pk=lot.pk).update(ready_on=row.date)

    def _hold(self, keyed) -> dict[str, HoldLine]:
        _, first = keyed[0]
        buyer = self.book.buyer(first.needed("buyer", "whom the plants are held for"))
        until = _until(first)
        for _, row in keyed:
            same = row.date == first.date and row.text("buyer") == buyer.name
            if not same or _until(row) != until:
                raise row.error("hold", "the rows of one hold share date, buyer and until.")
        made = Hold.objects.create(
            buyer=buyer, made_on=first.date, until=until, note=first.text("note")
        )
        change = HoldChange(
            hold=made, request_id=first.request_id, until_before=until, until_after=until
        )
        change.save(force_insert=True)
        return {key: self._line(row, made, change) for key, row in keyed}

    def _line(self, row, made, change) -> HoldLine:
        lot = self._lot(row) if row.text("lot") else None
        container = row.choice("container", self.book.containers, lot.container.code if lot else "")
        plant = lot.plant if lot else self.book.plant(row.needed("plant", "the plant's name"))
        line = HoldLine.objects.create(
            hold=made,
            plant=plant,
            container=self.book.containers[container],
            grade=row.text("grade"),
            lot=lot,
            quantity=row.quantity(),
            unit_price=whole_in_currency(row.money("price")) if row.text("price") else None,
            ahead=row.choice("treatment", ("", AHEAD)) == AHEAD,
        )
        HoldNumber.objects.create(change=change, line=line, before=0, after=line.quantity)
        return line

    def _hand_over(self, lines):
        taken: dict[int, int] = defaultdict(int)
        for row, movement in self.handed:
            line = lines.get(row.text("hold"))
            if line is None:
                raise row.error("hold", "no hold has that key; mend it, or leave it empty.")
            taken[line.pk] += movement.quantity
            if taken[line.pk] > line.quantity:
                raise row.error("quantity", f"only {line.quantity} were held on that line.")
            HandedOver.objects.create(line=line, movement=movement)

    def _deposit(self, holds):
        for row, payment in self.deposits:
            hold = holds.get(row.text("hold"))
            if hold is None or hold.buyer.kept != payment.buyer.kept:
                raise row.error("hold", "no hold of that buyer has that key; mend it.")
            HoldDeposit.objects.create(hold=hold, payment=payment)

    def _lot(self, row) -> Lot:
        lot = self.book.lot(row.text("lot"))
        if lot is None:
            raise row.error("lot", f"there is no lot {row.text('lot')}; mend the code.")
        return lot


def _until(row) -> date:
    until = row.day("until", "the last day they are kept, as 2026-04-30")
    if until < row.date:
        raise row.error("until", "it lies before the day of the hold; write that day or later.")
    return until


def line_keys() -> dict[int, str]:
    """Return {line: its key in the file}: which hold it is, and which line of it."""
    keys: dict[int, str] = {}
    holds = groupby(_lines_written().values_list("hold", "pk"), key=itemgetter(0))
    for hold, (_, lines) in enumerate(holds, start=1):
        keys |= {pk: f"{hold}.{line}" for line, (_, pk) in enumerate(lines, start=1)}
    return keys


def deposit_keys() -> dict[int, str]:
    """Return {payment: key of its hold in the file} for the deposits of holds written there."""
    holds = dict(_lines_written().values_list("hold", "pk"))
    keys = line_keys()
    rows = HoldDeposit.objects.filter(hold__in=holds).values_list("payment", "hold")
    return {payment: keys[holds[hold]].partition(".")[0] for payment, hold in rows}


def hold_rows() -> Iterator[dict]:
    """Yield every line that holds plants or handed some over, by date."""
    keys = line_keys()
    for line in _lines_written().select_related("hold__buyer", "plant", "container", "lot"):
        yield {
            "date": line.hold.made_on,
            "event": "hold",
            "lot": line.lot.code if line.lot else "",
            "plant": line.plant.name,
            "container": line.container.code,
            "quantity": line.quantity,
            "treatment": AHEAD if line.ahead else "",
            "buyer": line.hold.buyer.name,
            "price": "" if line.unit_price is None else line.unit_price,
            "note": line.hold.note,
            "hold": keys[line.pk],
            "until": line.hold.until,
            **({"grade": line.grade} if line.grade else {}),
        }


def _lines_written() -> QuerySet:
    return HoldLine.objects.filter(quantity__gt=0).order_by("hold__made_on", "hold", "pk")


def ready_rows() -> Iterator[dict]:
    """Yield every lot whose day is set, by that day."""
    for lot in _used_lots().filter(ready_on__isnull=False).order_by("ready_on", "pk"):
        yield {"date": lot.ready_on, "event": "ready", "lot": lot.code}


def grade_rows() -> Iterator[dict]:
    """Yield every lot that has a grade, by the day it began."""
    for lot in _used_lots().exclude(grade="").order_by("began_on", "pk"):
        yield {"date": lot.began_on, "event": "grade", "lot": lot.code, "grade": lot.grade}


def _used_lots() -> QuerySet:
    """Return the lots that plants came into; one whose beginning was undone is not written."""
    came = Movement.objects.filter(to_lot=OuterRef("pk"), carried__isnull=False)
    return Lot.objects.filter(Exists(came))
