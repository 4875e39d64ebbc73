"""State an issued document in the terms of EN 16931, and enclose it in its PDF."""

from collections import defaultdict
from decimal import Decimal

from django.db.models import Sum
from django.template.loader import render_to_string

from nursery.context import current_currency
from nursery.money import currency_digits
from sales.documents.pdf import Enclosure
from sales.einvoice.facts import (
    CREDIT_NOTE,
    INVOICE,
    Invoice,
    InvoiceLine,
    Party,
    TaxPart,
    missing_in,
)
from sales.einvoice.xml import cii
from sales.models import Document, DocumentLine, Take

FILE = "factur-x.xml"
"""The name that Factur-X and ZUGFeRD give the file in the PDF."""

MOST_DIGITS = 2


def invoice_of(document: Document) -> Invoice:
    """Return what an issued document says, as it was issued.

    What was paid by the end of its day is prepaid; later payments do not change it.
    """
    corrected = document.corrects
    paid = document.payments.filter(date__lte=document.date).aggregate(sum=Sum("amount"))
    return Invoice(
        number=document.number,
        kind=CREDIT_NOTE if document.is_credit else INVOICE,
        issued_on=document.date,
        currency=current_currency(),
        seller=_party(document.issued_by),
        buyer=_party(document.issued_to),
        lines=_lines(document),
        taxes=_taxes(document),
        due_on=document.due_on,
        terms=document.issued_by.get("terms", ""),
        note=document.note,
        account=document.issued_by.get("iban", "").replace(" ", ""),
        prepaid=paid["sum"] or Decimal(0),
        corrects=corrected.number if corrected else "",
        corrects_issued_on=corrected.date if corrected else None,
    )


def wanting(document: Document) -> list[str]:
    """Say what is missing before a document can be an electronic invoice; nothing is right."""
    if not document.issued_to:
        return ["a buyer by name"]
    missing = missing_in(_party(document.issued_by), _party(document.issued_to), _taxes(document))
    if currency_digits(current_currency()) > MOST_DIGITS:
        missing.append("a currency of at most two decimals, which EN 16931 demands")
    return missing


def enclosed(document: Document) -> dict:
    """Return what `document_pdf` takes to carry the invoice for machines, if there can be one."""
    if wanting(document):
        return {}
    words = "The same invoice for machines, by EN 16931"
    return {
        "enclosures": [Enclosure(FILE, cii(invoice_of(document)), "Alternative", words)],
        "xmp": [render_to_string("documents/einvoice_xmp.xml", {"file": FILE}).encode()],
    }


def _party(facts: dict) -> Party:
    parts = ("name", "country", "street", "postcode", "city", "region", "tax_id", "phone", "email")
    stated = {name: facts.get(name, "") for name in parts}
    # An address kept as one text is stated as its street, in one line.
    street = stated["street"] or ", ".join(facts.get("address", "").splitlines())
    return Party(**stated | {"street": street})


def _taxes(document: Document) -> tuple[TaxPart, ...]:
    return tuple(
        TaxPart(tax.category, tax.percent, tax.base, tax.amount, tax.reason)
        for tax in document.taxes.all()
    )


def _lines(document: Document) -> tuple[InvoiceLine, ...]:
    lots = _lots_of(document)
    rows = document.lines.order_by("pk")
    return tuple(_line(number, row, lots[row.pk]) for number, row in enumerate(rows, 1))


def _line(number: int, row: DocumentLine, lots: list[str]) -> InvoiceLine:
    words = row.printed
    # A net of prices that include tax need not divide by the number of plants.
    divides = row.net == row.asked
    return InvoiceLine(
        number=number,
        name=words["name"],
        description=" ".join(
            filter(None, (words.get("common_name", ""), words.get("container", "")))
        ),
        quantity=row.quantity,
        price=row.unit_price if divides else row.net,
        price_quantity=1 if divides else row.quantity,
        net=row.net,
        category=row.tax_category,
        percent=row.tax_percent,
        gtin=words.get("gtin", ""),
        lots=", ".join(lots),
    )


def _lots_of(document: Document) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    takes = Take.objects.filter(line__document=document).order_by("pk")
    for line, sold_from, back_to in takes.values_list(
        "line", "movement__from_lot__code", "movement__to_lot__code"
    ):
        found[line].append(sold_from or back_to)
    return found
