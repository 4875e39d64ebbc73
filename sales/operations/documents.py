"""Issue numbered documents. Called with the ledger held."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from functools import cache

from inventory.models import Container, Lot, Movement, Nursery, Plant
from nursery.context import current_nursery
from nursery.money import currency_digits
from sales.models import Buyer, Document, DocumentLine, DocumentTax, Take
from sales.operations.numbering import Numbers, given_number
from sales.operations.open_sales import keep_open
from sales.operations.taxing import TaxedLines, credited, taxed
from sales.parties import buyer_facts, line_words, seller_facts
from sales.queries.articles import article_numbers
from sales.queries.certificates import exemption_of
from sales.queries.taxes import LineTax, tax_on_day
from sales.tax import parts_by_number


@dataclass
class LineDraft:
    """A line about to be issued, with the movements of its plants.

    `tax` is none where the day's rates decide.
    """

    plant: Plant
    container: Container
    quantity: int
    unit_price: Decimal
    movements: list[Movement] = field(default_factory=list)
    price_reason: str = ""
    tax: LineTax | None = None


@dataclass(frozen=True)
class SaleDraft:
    """A sale about to be issued. `exemption` is why its buyer pays no tax, where none is due."""

    lines: list[LineDraft]
    on: date
    buyer: Buyer | None = None
    number: str = ""
    note: str = ""
    exemption: str = ""


def issue_sale(
    lines: list[LineDraft], *, on: date, buyer: Buyer | None, note: str = ""
) -> Document:
    """Issue the document of a sale: tax at the rate in force, the next number."""
    draft = SaleDraft(lines, on, buyer, "", note, exemption_of(buyer, on))
    return issue_sales([draft], Numbers())[0]


def issue_sales(sales: Iterable[SaleDraft], numbers: Numbers) -> list[Document]:
    """Issue many sales at once; those that bring no number get the next."""
    nursery = current_nursery()
    tax_on, digits = cache(tax_on_day), currency_digits(nursery.currency)
    issued_by = seller_facts(nursery)
    documents = []
    for sale in sales:
        taxes = taxed(sale.lines, tax_on(sale.on), sale.exemption, digits)
        given, buyer = sale.number, sale.buyer
        prefix = nursery.invoice_prefix if buyer else nursery.receipt_prefix
        document = Document(
            **(given_number(given) if given else numbers.next(prefix, sale.on)),
            kind=Document.Kind.SALE,
            date=sale.on,
            due_on=sale.on + timedelta(days=buyer.terms_days) if buyer else sale.on,
            **_discount(buyer, sale.on),
            buyer=buyer,
            buyer_name=buyer.name if buyer else "",
            issued_by=issued_by,
            issued_to=buyer_facts(sale.buyer),
            note=sale.note,
            **taxes.of_document,
        )
        documents.append((document, sale.lines, taxes))
    return _write(documents)


def _discount(buyer, on):
    if buyer is None or not buyer.discount_percent:
        return {}
    until = on + timedelta(days=buyer.discount_days)
    return {"discount_percent": buyer.discount_percent, "discount_until": until}


def issue_credit(
    document: Document, lines: list[LineDraft], *, on: date, note: str = ""
) -> Document:
    """Issue a credit note for part or all of a document, taxed as the document was."""
    nursery = Nursery.current()
    earlier = credits_in_force(document)
    taxes = credited(document, lines, earlier, currency_digits(nursery.currency))
    credit = Document(
        **Numbers().next(nursery.credit_prefix, on),
        kind=Document.Kind.CREDIT,
        date=on,
        buyer=document.buyer,
        buyer_name=document.buyer_name,
        issued_by=seller_facts(nursery),
        issued_to=document.issued_to,
        corrects=document,
        note=note,
        **taxes.of_document,
    )
    (issued,) = _write([(credit, lines, taxes)])
    keep_open([document.pk])
    return issued


def tax_of_sale(
    lines: Sequence[LineDraft], on: date, buyer: Buyer | None, digits: int
) -> TaxedLines:
    """Return how a sale on that day to that buyer would be taxed, to the currency's digits."""
    return taxed(lines, tax_on_day(on), exemption_of(buyer, on), digits)


def credits_in_force(document: Document) -> list[Document]:
    """Return the credit notes of a document that were not undone."""
    return list(document.credits.standing())


def lot_lines(
    takes: Iterable[tuple[Movement, Lot, Decimal, str, LineTax | None]],
) -> list[LineDraft]:
    """Return one line for each plant, container, price, reason and tax among the takes."""
    lines: dict[tuple, LineDraft] = {}
    for movement, lot, price, reason, tax in takes:
        key = (lot.plant_id, lot.container_id, price, reason, tax and tax.alike)
        line = lines.setdefault(
            key, LineDraft(lot.plant, lot.container, 0, price, price_reason=reason, tax=tax)
        )
        line.quantity += movement.quantity
        line.movements.append(movement)
    return list(lines.values())


def _article(line, numbers):
    """Return the article number for the printed words of a line, where it has one."""
    gtin = numbers.get((line.plant.pk, line.container.pk))
    return {"gtin": gtin} if gtin else {}


def _write(documents: list[tuple[Document, list[LineDraft], TaxedLines]]) -> list[Document]:
    """Write documents with their taxes, their lines and what each line took; return them."""
    plants = {line.plant.pk for _, lines, _ in documents for line in lines}
    numbers = article_numbers(plants=plants)
    issued = Document.objects.bulk_create(document for document, _, _ in documents)
    DocumentTax.objects.bulk_create(
        DocumentTax(document=document, **part.as_fields)
        for document, _, taxes in documents
        for part in taxes.parts
    )
    drafts = [
        (document, line, net, tax)
        for document, lines, taxes in documents
        for line, net, tax in zip(lines, taxes.nets, taxes.of_lines, strict=True)
    ]
    rows = DocumentLine.objects.bulk_create(
        DocumentLine(
            document=document,
            plant=line.plant,
            container=line.container,
            quantity=line.quantity,
            unit_price=line.unit_price,
            price_reason=line.price_reason,
            net=net,
            tax_category=tax.category,
            tax_percent=tax.percent,
            printed=line_words(line.plant, line.container, document.date) | _article(line, numbers),
        )
        for document, line, net, tax in drafts
    )
    Take.objects.bulk_create(
        Take(line=row, movement=movement, net=net)
        for row, (_, line, _, _) in zip(rows, drafts, strict=True)
        for movement, net in zip(
            line.movements,
            parts_by_number(row.net, [movement.quantity for movement in line.movements]),
            strict=True,
        )
    )
    return issued
