"""The sheet of a stand day on paper: plants, sales, the box."""

from decimal import Decimal

from inventory.models import Nursery
from sales.documents.pdf import pdf_of
from sales.models import BoxEntry, StandDay
from sales.queries.put_out import put_out_on
from sales.queries.stand_day import figures_of
from sales.queries.stand_page import documents_of, left_on

BOX_WORDS = {
    BoxEntry.Kind.BANK: "Brought to the bank",
    BoxEntry.Kind.PAID_OUT: "Paid out",
    BoxEntry.Kind.SAFE: "To or from the house",
}


def stand_sheet_pdf(day: StandDay) -> bytes:
    """Return the sheet of a day, open or closed, in the nursery's language."""
    return pdf_of("documents/stand_sheet.html", sheet_of(day))


def sheet_of(day: StandDay) -> dict:
    """Return all that the sheet shows."""
    left = {lot.pk: number for lot, number in left_on(day).items()}
    figures = figures_of(day)
    closing = figures.closing
    return {
        "nursery": Nursery.current(),
        "day": day,
        "figures": figures,
        "lines": [(row, left.get(row.lot_id, 0) if closing else None) for row in put_out_on(day)],
        "documents": documents_of(day)[::-1],
        "money": [(BOX_WORDS[row.kind], row) for row in _moved(day)],
        "pieces": _pieces(figures),
    }


def _moved(day):
    rows = BoxEntry.objects.filter(step__in=day.steps.in_force(), kind__in=BoxEntry.BY_HAND)
    return rows.order_by("pk")


def _pieces(figures):
    """Return (worth, number, amount) of each coin and note counted, the largest first."""
    pieces = figures.count.pieces if figures.count else {}
    counted = sorted(((Decimal(worth), number) for worth, number in pieces.items()), reverse=True)
    return [(worth, number, worth * number) for worth, number in counted]
