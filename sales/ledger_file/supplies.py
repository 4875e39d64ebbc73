"""Supplies in the ledger file: what they are, bought, counted, and used by operations.

`supply` says what a supply is: `quantity` is its pack, `amount` the level to order again at,
`price` the percent it settles by. `purchase` buys, with the seller in `note`. `supply_count`
and `supply_use` write what came in, or went out where it is below nothing. A use belongs
to the operation of its day that stands before it. With a `lot` it charges its amount to that
lot; without, the amount stands already in the row before it.
"""

from collections.abc import Iterator
from decimal import Decimal

from inventory.costing.categories import PAID
from inventory.models import Operation, Supply, SupplyEntry
from inventory.operations.posting import Draft
from inventory.operations.supply_catalogue import add_supply
from sales.ledger_file.book import ImportBook
from sales.ledger_file.events import charge_lot
from sales.ledger_file.rows import Row

Kind = SupplyEntry.Kind
EVENTS = {"purchase": Kind.BOUGHT, "supply_count": Kind.COUNTED, "supply_use": Kind.USED}
NAMED = {kind: event for event, kind in EVENTS.items()}
LONGEST_SUPPLIER = 80


class SupplyReader:
    """Turns rows into supplies and their entries; a supply named first is made."""

    def __init__(self, book: ImportBook):
        self.book = book
        self.supplies = {row.name: row for row in Supply.objects.all()}
        self.waiting: list[SupplyEntry] = []

    def read(self, row: Row, last: Draft | None) -> None:
        """Read a row; `last` is the operation of its day that stands before it, if any."""
        if row.text("event") == "supply":
            self._supply(row)
        else:
            self.waiting.append(self._entry(row, last))

    def write(self) -> None:
        """Write the entries that wait, once their operations are written."""
        for entry in self.waiting:
            entry.operation = entry.operation
        SupplyEntry.objects.bulk_create(self.waiting)
        self.waiting.clear()

    def _supply(self, row):
        name = row.needed("supply", "the name of a supply")
        if name in self.supplies:
            self._of(row)
            return
        percent = row.number("price", least=Decimal(0)) if row.text("price") else Decimal(0)
        if percent >= 100:
            raise row.error("price", "a medium settles by less than 100 percent.")
        if row.text("quantity") and not row.number("quantity", least=Decimal(0)):
            raise row.error("quantity", "a pack holds something; leave it empty for none.")
        self._make(
            row,
            pack_size=row.number("quantity") if row.text("quantity") else None,
            reorder_at=row.number("amount") if row.text("amount") else None,
            settling_percent=percent,
            note=row.text("note"),
        )

    def _entry(self, row, last) -> SupplyEntry:
        kind = EVENTS[row.text("event")]
        supply, quantity, amount = self._of(row), row.number("quantity"), row.money("amount")
        bought = kind == Kind.BOUGHT
        if bought and quantity <= 0:
            raise row.error("quantity", "write more than nothing.")
        if bought and amount < 0:
            raise row.error("amount", "write nothing or more.")
        if bought and len(row.text("note")) > LONGEST_SUPPLIER:
            raise row.error("note", f"write at most {LONGEST_SUPPLIER} letters: who sold it.")
        if kind == Kind.USED:
            charge_lot(row, self.book, last, supply.category, amount)
        return SupplyEntry(
            supply=supply,
            date=row.date,
            kind=kind,
            quantity=-quantity if kind == Kind.USED else quantity,
            amount=-amount if kind == Kind.USED else amount,
            operation=last.operation if last and kind == Kind.USED else None,
            supplier=row.text("note") if bought else "",
            note="" if bought else row.text("note"),
            request_id=row.request_id,
        )

    def _of(self, row) -> Supply:
        """Return the supply a row names, in the unit it is counted in."""
        name = row.needed("supply", "the name of a supply")
        supply = self.supplies.get(name) or self._make(row)
        unit = row.choice("unit", Supply.Unit.values, supply.unit)
        if unit != supply.unit:
            raise row.error("unit", f"{name} is counted by the {supply.unit}; write that.")
        return supply

    def _make(self, row, **details) -> Supply:
        name = row.text("supply")
        self.supplies[name] = add_supply(
            name=name,
            unit=row.choice("unit", Supply.Unit.values, Supply.Unit.PIECE),
            category=row.choice("category", PAID, "containers"),
            **details,
        )
        return self.supplies[name]


def supply_rows() -> Iterator[dict]:
    """Yield every supply, then what was bought and counted of each, by date."""
    first = Operation.objects.order_by("date").values_list("date", flat=True).first()
    entries = list(_entries())
    days = [entry.date for entry in entries] + ([first] if first else [])
    for supply in Supply.objects.order_by("pk") if days else ():
        yield {
            "date": min(days),
            "event": "supply",
            **_named(supply),
            "quantity": supply.pack_size,
            "amount": supply.reorder_at,
            "price": supply.settling_percent or None,
            "note": supply.note,
        }
    for entry in entries:
        yield {"date": entry.date, "event": NAMED[entry.kind], **_much(entry)}


def use_row(entry: SupplyEntry) -> dict:
    """Return the row of a use by an operation."""
    return {"event": "supply_use", "note": "", **_much(entry)}


def _entries():
    """Return what no operation used: purchases and counts in force."""
    rows = SupplyEntry.objects.exclude(kind=Kind.UNDONE).filter(reversed_by=None, operation=None)
    return rows.select_related("supply").order_by("date", "pk")


def _much(entry):
    sign = -1 if entry.kind == Kind.USED else 1
    return {
        **_named(entry.supply),
        "quantity": sign * entry.quantity,
        "amount": sign * entry.amount,
        "note": entry.supplier if entry.kind == Kind.BOUGHT else entry.note,
    }


def _named(supply):
    return {"supply": supply.name, "unit": supply.unit, "category": supply.category}
