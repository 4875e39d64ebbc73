"""The availability list for buyers in each of its forms, in the language of who reads it."""

import json

import tablib
from django.template.loader import render_to_string

from inventory.models import Nursery
from nursery.context import current_nursery
from nursery.listing import content_of
from nursery.printing import plain_values
from sales.documents.pdf import pdf_of
from sales.documents.words import speaking
from sales.models import Buyer
from sales.parties import addresses, buyer_facts, seller_facts
from sales.queries.offer import Offer


def offer_pdf(offer: Offer, buyer: Buyer | None = None) -> bytes:
    """Return the list on paper, or raise PdfNotPossible."""
    language, country = voice_for(buyer)
    context = _context(offer, buyer)
    return pdf_of("documents/availability.html", context, language=language, country=country)


def offer_text(offer: Offer, buyer: Buyer | None = None) -> str:
    """Return the list as plain text, for a message."""
    with speaking(*voice_for(buyer)):
        text = render_to_string("documents/availability.txt", _context(offer, buyer))
    lines = (line.rstrip() for line in text.strip().split("\n"))
    return "\n".join(lines) + "\n"


def offer_sheet(offer: Offer, kind: str, buyer: Buyer | None = None) -> bytes:
    """Return the list as a spreadsheet: "csv" or "xlsx"."""
    with speaking(*voice_for(buyer)):
        columns = offer.choice.shown
        data = tablib.Dataset(headers=[column.title for column in columns], title="Plants")
        for line in offer.lines:
            data.append([column.value(line) for column in columns])
        return content_of(data, kind)


def offer_json(offer: Offer) -> str:
    """Return the list for machines: objects with the same fields as `report availability`."""
    rows = [
        {column.key: column.value(line) for column in offer.choice.shown} for line in offer.lines
    ]
    return json.dumps([plain_values(row) for row in rows], ensure_ascii=False, indent=1) + "\n"


def voice_for(buyer: Buyer | None) -> tuple[str, str]:
    """Return the language a list speaks and the country it writes for: the buyer's, else ours."""
    nursery = current_nursery()
    theirs = (buyer.language, buyer.country) if buyer else ("", "")
    return theirs[0] or nursery.language, theirs[1] or nursery.country


def _context(offer, buyer):
    nursery = Nursery.current()
    seller, facts = seller_facts(nursery), buyer_facts(buyer)
    seller_address, buyer_address = addresses(seller, facts, voice_for(buyer)[0])
    return {
        "nursery": nursery,
        "seller": seller,
        "seller_address": seller_address,
        "buyer": buyer,
        "buyer_address": buyer_address,
        "offer": offer,
        "cautions": offer.cautions,
        "currency": nursery.currency,
    }
