"""Everything one document's page and paper show."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.models import Batch, Lot, Movement
from inventory.queries.lineage import shares_of_movements
from sales.models import Document, DocumentLine, DocumentTax, Payment, Take
from sales.queries.owed import with_owed


@dataclass
class Origin:
    """Plants of a line that one lot gave, and the batches they began in."""

    lot: Lot
    quantity: int = 0
    batches: list[tuple[Batch, Fraction]] = field(default_factory=list)


@dataclass
class Line:
    """A line with where its plants came from."""

    row: DocumentLine
    origins: list[Origin] = field(default_factory=list)

    @property
    def words(self) -> dict[str, str]:
        """The words that stand on paper, as they were on the day of issue."""
        return self.row.printed


# What paper calls the ways of settling that bring no money.
SETTLED_BESIDES = {
    Payment.Method.ROUNDING: "Rounding",
    Payment.Method.DISCOUNT: "Discount for paying early",
    Payment.Method.ALLOWANCE: "Allowance",
}


@dataclass
class Settled:
    """An amount that settles part of a document: paid in some ways, or named otherwise."""

    name: str
    amount: Decimal = Decimal(0)
    ways: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Standing:
    """What a document asks for now: its credits, its payments, what is still open."""

    document: Document
    credits: list[Document]
    payments: list[Payment]
    cancelled: bool
    credited: Decimal
    paid: Decimal
    open: Decimal

    @property
    def is_overdue(self) -> bool:
        return self.open > 0 and bool(self.document.due_on) and self.document.due_on < date.today()

    @property
    def kind(self) -> str:
        """What the paper is called: a paid walk-in sale has a receipt."""
        if self.document.is_credit:
            return "Credit note"
        is_receipt = not self.document.buyer_id and self.open <= 0
        return "Receipt" if is_receipt else "Invoice"

    @property
    def open_abs(self) -> Decimal:
        return abs(self.open)

    @property
    def paid_in(self) -> str:
        """How it was paid, in words: "cash", "card and cheque"."""
        paying = (*Payment.MONEY, Payment.Method.ACCOUNT)
        counting = [row for row in self.payments if row.counts and row.method in paying]
        ways = [row.get_method_display() for row in counting]
        return " and ".join(dict.fromkeys(ways))

    @property
    def settled(self) -> list["Settled"]:
        """What settles it: the money paid in one sum, then each other way by itself."""
        sums: dict[str, Settled] = {}
        for row in self.payments:
            if row.counts:
                name = SETTLED_BESIDES.get(row.method, "")
                line = sums.setdefault(name, Settled(name))
                line.amount += row.amount
                if not name and row.get_method_display() not in line.ways:
                    line.ways.append(row.get_method_display())
        return [sums[name] for name in ("", *SETTLED_BESIDES.values()) if name in sums]

    @property
    def received(self) -> Decimal:
        """The money that came in: in cash, what cash can pay."""
        rows = (row for row in self.payments if row.counts and row.method in Payment.MONEY)
        return sum((row.amount for row in rows), Decimal(0))

    @property
    def state(self) -> str:
        """The document's state in a word or two."""
        if self.cancelled:
            return "cancelled"
        if self.document.is_credit:
            return "credited"
        if self.open < 0:
            return "to pay back"
        return "open" if self.open else "paid"


def standing_of(document: Document) -> Standing:
    """Return a document's standing, with its credits and payments."""
    row = with_owed(Document.objects.filter(pk=document.pk)).get()
    payments = list(document.payments.select_related("reversed_by").order_by("date", "pk"))
    for payment in payments:
        payment.undone = hasattr(payment, "reversed_by")
        payment.counts = not payment.undone and not payment.reverses_id
    is_owed = not document.is_credit
    return Standing(
        document,
        list(document.credits.with_standing().order_by("date", "pk")),
        payments,
        row.cancelled,
        row.credited,
        row.paid,
        (-row.paid if row.cancelled else row.owed) if is_owed else Decimal(0),
    )


def lines_of(document: Document) -> list[Line]:
    """Return the lines in order, each with its plant and container."""
    rows = document.lines.select_related("plant", "container").order_by("pk")
    return [Line(row) for row in rows]


def traced_lines_of(document: Document) -> list[Line]:
    """Return the lines with the lots and batches each plant came from."""
    lines = {line.row.pk: line for line in lines_of(document)}
    takes = list(
        Take.objects.filter(line__document=document)
        .select_related("movement__from_lot", "movement__to_lot")
        .order_by("pk")
    )
    shares = shares_of_movements((_sale_of(take.movement), _lot(take).pk) for take in takes)
    batches = Batch.objects.in_bulk({batch for found in shares.values() for batch in found})
    for take in takes:
        origin = _origin(lines[take.line_id], _lot(take))
        origin.quantity += take.movement.quantity
        found = shares[_sale_of(take.movement)]
        origin.batches = sorted(
            ((batches[key], share) for key, share in found.items()),
            key=lambda pair: (-pair[1], pair[0].code),
        )
    return list(lines.values())


def plants_out(document: Document) -> list[tuple[Lot, int]]:
    """Return (lot, plants still with the buyer) for the lots of a sale."""
    out: dict[int, int] = {}
    lots = {}
    takes = Take.objects.filter(
        line__document=document, movement__carried__isnull=False
    ).select_related("movement__from_lot__plant", "movement__from_lot__container")
    returned = Movement.objects.filter(
        of__take__line__document=document,
        kind=Movement.Kind.RETURNED,
        carried__isnull=False,
    )
    for take in takes:
        lots[take.movement.from_lot_id] = take.movement.from_lot
        out[take.movement.from_lot_id] = (
            out.get(take.movement.from_lot_id, 0) + take.movement.quantity
        )
    for movement in returned:
        out[movement.to_lot_id] -= movement.quantity
    return [(lots[key], number) for key, number in out.items() if number]


def taxes_of(document: Document) -> list[DocumentTax]:
    """Return the taxes charged on a document, one a rate."""
    return [tax for tax in document.taxes.all() if tax.is_charged]


def cautions_of(lines: Iterable[Line]) -> list[tuple[str, str]]:
    """Return (plant, caution) once for each plant that is poisonous."""
    return _said_once(lines, "caution")


def rights_of(lines: Iterable[Line]) -> list[tuple[str, str]]:
    """Return (plant, whose right) once for each protected cultivar."""
    return _said_once(lines, "right")


def _said_once(lines, word):
    said = {(line.words["name"], line.words[word]): None for line in lines if word in line.words}
    return list(said)


def _lot(take: Take) -> Lot:
    """Return the lot a sale took from, or a return went back to."""
    return take.movement.from_lot or take.movement.to_lot


def _sale_of(movement: Movement) -> int:
    """Return the movement that sold the plants: a return gives back part of one."""
    return movement.of_id or movement.pk


def _origin(line: Line, lot: Lot) -> Origin:
    for origin in line.origins:
        if origin.lot == lot:
            return origin
    line.origins.append(Origin(lot))
    return line.origins[-1]
