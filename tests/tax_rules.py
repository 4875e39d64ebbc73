"""What the database refuses of taxes and what stands with a buyer, each by the rule's name."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from inventory.models import Lot
from sales.models import (
    Buyer,
    Certificate,
    CertificateFile,
    Contact,
    Document,
    DocumentTax,
    OpenSale,
    PlantTax,
    TaxRate,
)
from tests.factories import DAY


def document() -> Document:
    facts = {"number": "X-1", "kind": "sale", "date": DAY, "net": Decimal(1), "tax": Decimal(0)}
    return Document.objects.create(**facts)


def document_tax(**more) -> DocumentTax:
    facts = {"category": "S", "percent": Decimal(6), "base": Decimal(1), "amount": Decimal(0)}
    if "document" not in more:
        facts["document"] = document()
    if more.get("category", "S") != "S":
        facts["percent"] = Decimal(0)
    return DocumentTax.objects.create(**facts | more)


def taxed_twice(document):
    return [document_tax(document=document) for _ in range(2)]


def contact(**facts) -> Contact:
    buyer = Buyer.objects.create(name="B")
    return Contact.objects.create(buyer=buyer, request_id=uuid4(), **facts)


def certificate(**facts) -> Certificate:
    facts = {"number": "E-17", "valid_from": DAY, "request_id": uuid4()} | facts
    return Certificate.objects.create(buyer=Buyer.objects.create(name="B"), **facts)


TAX_RULES: dict[str, Callable[[Lot], object]] = {
    "sales_opensale_is_not_nothing": lambda lot: OpenSale.objects.create(
        document=document(), amount=Decimal(0)
    ),
    "sales_certificate_has_a_number": lambda lot: certificate(number=""),
    "sales_certificate_ends_no_earlier_than_it_begins": lambda lot: certificate(
        valid_until=DAY - timedelta(days=1)
    ),
    "sales_certificatefile_is_a_pdf_or_a_picture": lambda lot: CertificateFile.objects.create(
        certificate=certificate(), file="a.exe", request_id=uuid4()
    ),
    "sales_contact_has_a_name": lambda lot: contact(phone="1"),
    "sales_contact_can_be_reached": lambda lot: contact(name="Ada"),
    "sales_documenttax_is_one_of_a_kind": lambda lot: taxed_twice(document()),
    "sales_documenttax_amounts_are_not_negative": lambda lot: document_tax(base=Decimal(-1)),
    "sales_documenttax_is_charged_only_where_taxed": lambda lot: document_tax(
        category="E", amount=Decimal(1)
    ),
    "sales_taxrate_is_one_a_day": lambda lot: [
        TaxRate.objects.create(percent=percent, valid_from=DAY) for percent in (5, 6)
    ],
    "sales_taxrate_is_of_a_kind_with_a_rate": lambda lot: TaxRate.objects.create(
        kind="zero", percent=0, valid_from=DAY
    ),
    "sales_planttax_is_not_the_standard": lambda lot: PlantTax.objects.create(
        plant=lot.plant, kind="standard"
    ),
    "sales_taxrate_is_a_percentage": lambda lot: TaxRate.objects.create(
        percent=Decimal(101), valid_from=DAY
    ),
}
