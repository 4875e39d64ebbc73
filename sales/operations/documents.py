"""Issue numbered documents. Called with the ledger held."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from functools import cache

from inventory.models import Container, Lot, Movement, Nursery, Plant
from nursery.money import currency_digits
from sales.models import Buyer, Document, DocumentLine, Take
from sales.operations.numbering import Numbers, given_number
from sales.parties import buyer_facts, line_words, seller_facts
from sales.queries.articles import article_numbers
from sales.queries.prices import tax_rate_on
from sales.tax import invoice_tax


@dataclass
class LineDraft:
    """A line about to be issued, with the movements of its plants."""

    plant: Plant
    container: Container
    quantity: int
    unit_price: Decimal
    movements: list[Movement] = field(default_factory=list)
    price_reason: str = ""


def issue_sale(
    lines: list[LineDraft], *, on: date, buyer: Buyer | None, note: str = ""
) -> Document:
    """Issue the document of a sale: tax at the rate in force, the next number."""
    return issue_sales([(lines, on, buyer, "", note)], Numbers())[0]


def issue_sales(
    sales: Iterable[tuple[list[LineDraft], date, Buyer | None, str, str]],
    numbers: Numbers,
) -> list[Document]:
    """Issue many sales at once: (lines, date, buyer, number or none, note)."""
    nursery = Nursery.current()
    rate_on, digits = cache(tax_rate_on), currency_digits(nursery.currency)
    issued_by = seller_facts(nursery)
    documents = []
    for lines, on, buyer, number, note in sales:
        prefix = nursery.invoice_prefix if buyer else nursery.receipt_prefix
        document = Document(
            **(given_number(number) if number else numbers.next(prefix, on)),
            kind=Document.Kind.SALE,
            date=on,
            due_on=on + timedelta(days=buyer.terms_days) if buyer else on,
            **_discount(buyer, on),
            buyer=buyer,
            buyer_name=buyer.name if buyer else "",
            issued_by=issued_by,
            issued_to=buyer_facts(buyer),
            net=_net(lines),
            note=note,
            **_tax_at(rate_on(on), lines, buyer, digits),
        )
        documents.append((document, lines))
    return _write(documents)


def _discount(buyer, on):
    if buyer is None or not buyer.discount_percent:
        return {}
    until = on + timedelta(days=buyer.discount_days)
    return {"discount_percent": buyer.discount_percent, "discount_until": until}


def issue_credit(
    document: Document, lines: list[LineDraft], *, on: date, note: str = ""
) -> Document:
    """Issue a credit note for part or all of a document.

    Its tax is worked out as the document's was. The credit note that takes the
    last of a document gives back the tax that is left, so that all of them
    together give back exactly what it bore.
    """
    earlier = credits_in_force(document)
    net = _net(lines)
    net_left = document.net - sum(credit.net for credit in earlier)
    tax_left = document.tax - sum(credit.tax for credit in earlier)
    pieces = [(line.quantity, line.unit_price) for line in lines]
    nursery = Nursery.current()
    digits = currency_digits(nursery.currency)
    tax = invoice_tax(pieces, document.tax_percent, digits, document.tax_basis)
    credit = Document(
        **Numbers().next(nursery.credit_prefix, on),
        kind=Document.Kind.CREDIT,
        date=on,
        buyer=document.buyer,
        buyer_name=document.buyer_name,
        issued_by=seller_facts(nursery),
        issued_to=document.issued_to,
        corrects=document,
        tax_name=document.tax_name,
        tax_percent=document.tax_percent,
        tax_basis=document.tax_basis,
        tax_note=document.tax_note,
        net=net,
        tax=tax_left if net == net_left else min(tax, tax_left),
        note=note,
    )
    return _write([(credit, lines)])[0]


def tax_of_sale(lines: Iterable[LineDraft], on: date, buyer: Buyer | None) -> dict:
    """Return the tax fields of a sale on that day to that buyer."""
    digits = currency_digits(Nursery.current().currency)
    return _tax_at(tax_rate_on(on), lines, buyer, digits)


def _tax_at(rate, lines, buyer, digits):
    if rate is None:
        return {"tax": Decimal(0)}
    if buyer and buyer.tax_exempt:
        return {
            "tax": Decimal(0),
            "tax_name": rate.name,
            "tax_note": f"Exempt, certificate {buyer.certificate}",
        }
    pieces = [(line.quantity, line.unit_price) for line in lines]
    return {
        "tax": invoice_tax(pieces, rate.percent, digits, rate.basis),
        "tax_name": rate.name,
        "tax_percent": rate.percent,
        "tax_basis": rate.basis,
    }


def credits_in_force(document: Document) -> list[Document]:
    """Return the credit notes of a document that were not undone."""
    return list(document.credits.standing())


def lot_lines(takes: Iterable[tuple[Movement, Lot, Decimal, str]]) -> list[LineDraft]:
    """Return one line for each plant, container, price and reason among the takes."""
    lines: dict[tuple, LineDraft] = {}
    for movement, lot, price, reason in takes:
        key = (lot.plant_id, lot.container_id, price, reason)
        line = lines.setdefault(
            key, LineDraft(lot.plant, lot.container, 0, price, price_reason=reason)
        )
        line.quantity += movement.quantity
        line.movements.append(movement)
    return list(lines.values())


def _article(line, numbers):
    """Return the article number for the printed words of a line, where it has one."""
    gtin = numbers.get((line.plant.pk, line.container.pk))
    return {"gtin": gtin} if gtin else {}


def _net(lines):
    return sum((line.quantity * line.unit_price for line in lines), Decimal(0))


def _write(documents):
    """Write documents with their lines and what each line took; return them."""
    numbers = article_numbers()
    issued = Document.objects.bulk_create(document for document, _ in documents)
    drafts = [(document, line) for document, lines in documents for line in lines]
    rows = DocumentLine.objects.bulk_create(
        DocumentLine(
            document=document,
            plant=line.plant,
            container=line.container,
            quantity=line.quantity,
            unit_price=line.unit_price,
            price_reason=line.price_reason,
            printed=line_words(line.plant, line.container, document.date) | _article(line, numbers),
        )
        for document, line in drafts
    )
    Take.objects.bulk_create(
        Take(line=row, movement=movement)
        for row, (_, line) in zip(rows, drafts, strict=True)
        for movement in line.movements
    )
    return issued
