"""Write an invoice's facts in either syntax of EN 16931."""

from django.template.loader import render_to_string

from sales.einvoice.facts import Invoice


def cii(invoice: Invoice) -> bytes:
    """Return the invoice in the syntax UN/CEFACT CII, as it is embedded in a PDF."""
    return _written("documents/einvoice_cii.xml", {"invoice": invoice})


def ubl(invoice: Invoice) -> bytes:
    """Return the invoice in the syntax UBL 2.1."""
    root = "CreditNote" if invoice.is_credit else "Invoice"
    return _written("documents/einvoice_ubl.xml", {"invoice": invoice, "root": root})


def _written(template: str, context: dict) -> bytes:
    """Render a template without the lines that its conditions left empty."""
    lines = render_to_string(template, context).splitlines()
    return "\n".join(line for line in lines if line.strip()).encode() + b"\n"
