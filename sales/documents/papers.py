"""The papers of one sale: its invoice, receipt or credit note, and its delivery note."""

import re
from collections.abc import Sequence

from django.utils.text import slugify

from inventory.models import Nursery
from nursery.context import current_currency
from sales.documents.pdf import ARCHIVAL, Enclosure, pdf_of
from sales.documents.words import say, speaking
from sales.models import Document
from sales.parties import addresses, buyer_facts, seller_facts
from sales.queries.delivery import deliveries_of, passports_of
from sales.queries.document_page import cautions_of, lines_of, rights_of, standing_of, taxes_of
from sales.queries.statement import Statement

DELIVERY = "Delivery note"
# What some file system or mail program would not take in a name.
NOT_PLAIN = re.compile(r"[^A-Za-z0-9._-]")


def document_pdf(
    document: Document,
    *,
    language: str = "",
    paper: str = "",
    enclosures: Sequence[Enclosure] = (),
    xmp: Sequence[bytes] = (),
) -> bytes:
    """Return an invoice, receipt or credit note as PDF/A-3b, as it was issued.

    It speaks the buyer's language unless another is given. A file that belongs to it, as
    an invoice for machines, comes along in `enclosures`, and what says so in `xmp`.
    """
    spoken = language or language_of(document)
    return pdf_of(
        *invoice_of(document, spoken, paper),
        language=spoken,
        country=country_of(document),
        enclosures=enclosures,
        xmp=xmp,
        variant=ARCHIVAL,
    )


def invoice_of(document: Document, language: str = "", paper: str = "") -> tuple[str, dict]:
    """Return the template of an invoice, receipt or credit note, and all that it shows."""
    lines = lines_of(document)
    context = _context(document, language or language_of(document), paper) | {
        "standing": standing_of(document),
        "lines": lines,
        "taxes": taxes_of(document),
        "cautions": [] if document.is_credit else cautions_of(lines),
        "rights": [] if document.is_credit else rights_of(lines),
    }
    return "documents/invoice.html", context


def delivery_pdf(document: Document, *, language: str = "", paper: str = "") -> bytes:
    """Return the delivery note of a sale: plants, numbers, lots, passports and no prices."""
    spoken = language or language_of(document)
    deliveries = deliveries_of(document)
    lines = [delivery.line for delivery in deliveries]
    context = _context(document, spoken, paper) | {
        "deliveries": deliveries,
        "plants": sum(line.row.quantity for line in lines),
        "passports": passports_of(document, deliveries),
        "cautions": cautions_of(lines),
        "rights": rights_of(lines),
    }
    country = country_of(document)
    return pdf_of("documents/delivery.html", context, language=spoken, country=country)


def statement_paper(statement: Statement) -> bytes:
    """Return a buyer's statement as a PDF, in the buyer's language, else the nursery's."""
    nursery = Nursery.current()
    seller, buyer = seller_facts(nursery), buyer_facts(statement.buyer)
    language = statement.buyer.language or nursery.language
    seller_address, buyer_address = addresses(seller, buyer, language)
    context = {
        "nursery": nursery,
        "seller": seller,
        "seller_address": seller_address,
        "buyer_address": buyer_address,
        "statement": statement,
    }
    country = statement.buyer.country or nursery.country
    return pdf_of("documents/statement.html", context, language=language, country=country)


def language_of(document: Document) -> str:
    """Return the language a document was issued in: the buyer's, else the nursery's."""
    return document.issued_to.get("language") or document.issued_by.get("language") or "en"


def country_of(document: Document) -> str:
    """Return the country whose way of writing days and money a document follows."""
    return document.issued_to.get("country") or document.issued_by.get("country") or ""


def file_name(document: Document, title: str, language: str = "", ending: str = ".pdf") -> str:
    """Return the name of a file that is sent away: who, what and which, in plain letters."""
    with speaking(language or language_of(document)):
        words = slugify(f"{document.issued_by.get('name', '')} {say(title)}")
    plain = "".join(
        c if c.isascii() and (c.isalnum() or c in "-_.") else "-" for c in document.number
    )
    return f"{words}-{plain}{ending}"


def _context(document, language, paper):
    seller_address, buyer_address = addresses(document.issued_by, document.issued_to, language)
    return {
        "document": document,
        "currency": current_currency(),
        "seller": document.issued_by,
        "seller_address": seller_address,
        "buyer": document.issued_to,
        "buyer_address": buyer_address,
        "paper": paper or document.issued_by.get("paper", ""),
    }
