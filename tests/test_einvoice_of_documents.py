"""Issued invoices and credit notes as electronic ones, judged by the official artefacts."""

import io
from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from pypdf import PdfReader

from inventory.models import Nursery
from sales import operations
from sales.documents.papers import document_pdf
from sales.einvoice.issued import enclosed, invoice_of, wanting
from sales.einvoice.xml import cii, ubl
from sales.models import Buyer, PlantTax, TaxRate
from tests.einvoice_oracle import arithmetic_faults, rules_broken, schema_faults
from tests.factories import DAY, UserFactory, exempt_buyer, lot_holding

pytestmark = pytest.mark.django_db
BEGIN = date(2020, 1, 1)


@pytest.fixture
def nursery():
    facts = {"street": "Heckenweg 4", "postcode": "12345", "city": "Quellenau", "country": "DE"}
    nursery = Nursery(name="Thrushgate Lane Plants", currency="EUR", tax_id="DE123456789", **facts)
    nursery.iban = "DE89 3704 0044 0532 0130 00"
    nursery.terms = "Payable without deduction."
    nursery.save()
    return nursery


@pytest.fixture
def buyer():
    return Buyer.objects.create(name="Hollin & Söhne", country="FR", city="Valcombe")


def sold(buyer, *prices, **more):
    """Sell three plants at each price, the second kind at the reduced rate."""
    items = []
    for number, price in enumerate(prices):
        lot = lot_holding(10, f"{buyer.name[:5]}-{number}")
        items.append(operations.Item(lot.plant, lot.container, 3, lot, Decimal(price)))
        if number == 1:
            PlantTax.objects.create(plant=lot.plant, kind="reduced")
    return operations.sell(items=items, on=DAY, buyer=buyer, request_id=uuid4(), **more)


def rates(**more):
    TaxRate.objects.create(percent=Decimal(19), valid_from=BEGIN, **more)
    TaxRate.objects.create(percent=Decimal(7), valid_from=BEGIN, kind="reduced", **more)


@pytest.mark.parametrize("syntax", [cii, ubl])
@pytest.mark.parametrize("included", [False, True], ids=["added", "included"])
def test_an_invoice_of_two_rates_is_valid(nursery, buyer, syntax, included):
    rates(included=included)
    document = sold(buyer, "9.99", "3.33", note="Left at the gate & covered.")

    invoice = invoice_of(document)

    assert wanting(document) == []
    assert schema_faults(syntax(invoice)) == []
    assert rules_broken(syntax(invoice)) == set()
    assert (invoice.net, invoice.tax, invoice.total) == (
        document.net, document.tax, document.total,
    )  # fmt: skip
    assert included or arithmetic_faults(invoice) == []


@pytest.mark.parametrize("syntax", [cii, ubl])
def test_a_credit_note_names_the_invoice_it_corrects(nursery, buyer, syntax):
    rates()
    document = sold(buyer, "9.99", paid_by="card")
    lot = document.lines.get().takes.get().movement.from_lot
    credit = operations.take_back(
        document=document, plants=[(lot, 1)], on=DAY, restock=True, request_id=uuid4()
    )

    xml = syntax(invoice_of(credit))

    assert schema_faults(xml) == [] and rules_broken(xml) == set()
    assert document.number.encode() in xml


def test_what_was_paid_that_day_is_prepaid_and_later_payments_change_nothing(nursery, buyer):
    rates()
    document = sold(buyer, "10.00")
    pay = {"document": document, "method": "transfer", "request_id": uuid4()}
    operations.pay(amount=Decimal(5), on=DAY, **pay)
    before = ubl(invoice_of(document))

    operations.pay(amount=Decimal(7), on=date(2026, 1, 2), **pay | {"request_id": uuid4()})

    assert invoice_of(document).prepaid == 5
    assert ubl(invoice_of(document)) == before and rules_broken(before) == set()


@pytest.mark.parametrize("syntax", [cii, ubl])
def test_exempt_and_untaxed_invoices_say_why(nursery, buyer, syntax):
    untaxed = sold(buyer, "9.99")
    rates()
    lot = lot_holding(5, "LX")
    items = [operations.Item(lot.plant, lot.container, 1, lot, Decimal(4))]
    named = exempt_buyer(name="Fallow Grounds", country="FR")
    exempt = operations.sell(items=items, on=DAY, buyer=named, request_id=uuid4())

    for document, category in ((untaxed, "O"), (exempt, "E")):
        invoice = invoice_of(document)
        assert [part.category for part in invoice.taxes] == [category]
        assert rules_broken(syntax(invoice)) == set()


def test_the_pdf_carries_the_invoice_and_says_so(nursery, buyer):
    rates()
    document = sold(buyer, "9.99")

    reader = PdfReader(io.BytesIO(document_pdf(document, **enclosed(document))))

    (found,) = reader.attachments["factur-x.xml"]
    assert found == cii(invoice_of(document))
    metadata = reader.trailer["/Root"]["/Metadata"].get_data().decode()
    assert "<fx:ConformanceLevel>EN 16931</fx:ConformanceLevel>" in metadata
    files = reader.trailer["/Root"]["/AF"]
    assert {entry.get_object()["/AFRelationship"] for entry in files} == {"/Alternative"}


def test_the_page_offers_both_syntaxes_or_says_what_is_missing(nursery, buyer, client):
    client.force_login(UserFactory(is_superuser=True))
    rates()
    whole, wanted = sold(buyer, "9.99"), sold(Buyer.objects.create(name="Fallow"), "9.99")

    page = client.get(reverse("sales:document", args=[whole.pk])).content.decode()
    other = client.get(reverse("sales:document", args=[wanted.pk])).content.decode()

    for syntax in ("cii", "ubl"):
        address = reverse("sales:document-xml", args=[whole.pk, syntax])
        assert address in page
        answer = client.get(address)
        assert answer["Content-Type"] == "application/xml"
        assert rules_broken(answer.content) == set()
    assert "the buyer&#x27;s country, on the buyer&#x27;s page" in other
    assert client.get(reverse("sales:document-xml", args=[wanted.pk, "ubl"])).status_code == 404
    assert client.get(reverse("sales:document-xml", args=[whole.pk, "odd"])).status_code == 404
