"""How long a long invoice takes, from the sale to its PDF, against its HTML set by itself."""

from decimal import Decimal
from uuid import uuid4

import pytest

from sales.documents.papers import DELIVERY, delivery_pdf, document_pdf, invoice_of
from sales.documents.pdf import ARCHIVAL, html_of, own_file, own_files_only
from sales.operations import Item, sell
from tests.benchmarks.measuring import least, note, timed
from tests.factories import DAY, BuyerFactory, NurseryFactory, PlantFactory, lot_holding

LINES, ROUNDS = 50, 5


@pytest.mark.django_db
def test_a_sale_of_fifty_lines_and_its_invoice():
    NurseryFactory(units="us")
    buyer = BuyerFactory()
    plants = [PlantFactory(name=f"Ilex crenata 'Row {n}'", common_name="Holly") for n in range(50)]
    lots = [lot_holding(100, f"L{n}", plant=plant) for n, plant in enumerate(plants)]
    ours, bare, saved = [], [], []

    def sold():
        items = [Item(lot.plant, lot.container, 1, unit_price=Decimal(9)) for lot in lots]
        return sell(items=items, on=DAY, buyer=buyer, request_id=uuid4())

    written = html_set_for(sold())
    bare_set(written)
    for _ in range(ROUNDS):
        ours.append(timed(lambda: document_pdf(sold())))
        bare.append(timed(lambda: bare_set(written)))
        saved.append(timed(sold))
    note(f"a sale of {LINES} lines and its PDF", least(ours))
    note("  WeasyPrint alone, the same HTML", least(bare))
    note("  ratio", least(ours) / least(bare), "1.2 or less")
    note("  the sale by itself", least(saved))
    note(f"  its {DELIVERY.lower()}", least([timed(lambda: delivery_pdf(sold()))]))


def html_set_for(document) -> str:
    """Return the HTML that an invoice is set from."""
    return html_of(*invoice_of(document), language="en")


def bare_set(written):
    """Set HTML as WeasyPrint does by itself, with the same sheet and for the archive too."""
    from weasyprint import CSS, HTML

    fetcher = own_files_only()
    sheet = CSS(string=own_file("css/documents.css").read_text("utf-8"), url_fetcher=fetcher)
    HTML(string=written, base_url="static:/", url_fetcher=fetcher).write_pdf(
        stylesheets=[sheet], pdf_variant=ARCHIVAL
    )
