"""Papers as they were issued: facts, languages, delivery notes, passports, the archive's PDF."""

import io
from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from lxml import etree
from pypdf import PdfReader

from inventory.models import Nursery, Plant
from sales import operations
from sales.documents.papers import delivery_pdf, document_pdf, file_name
from sales.documents.pdf import Enclosure
from sales.models import Buyer
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    UserFactory,
    lot_holding,
    sell_from,
)

pytest.importorskip(
    "weasyprint", reason="the libraries that set PDFs are missing", exc_type=OSError
)
pytestmark = pytest.mark.django_db

PDFAID = "{http://www.aiim.org/pdfa/ns/id/}"
YEW = {
    "name": "Taxus ×media 'Hicksii'",
    "common_name": "Hicks yew",
    "poisonous": "Poisonous in every part.",
    "propagation_right": "Right 77 of Fallow Breeding",
}
LEIPZIG = {
    "name": "Stille Bank Pflanzen",
    "address": "",
    "street": "Lindenweg 4",
    "postcode": "04109",
    "city": "Leipzig",
    "country": "DE",
    "currency": "EUR",
    "units": "metric",
    "language": "de",
}


@pytest.fixture(autouse=True)
def nursery():
    NurseryFactory(units="us", licence_name="Nursery licence", licence_number="N-2041")


def sold(quantity=3, **more):
    return sell_from(lot_holding(20, plant=PlantFactory(**YEW)), quantity, "1450.50", **more)


def text_of(pdf):
    pages = PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def test_a_reprint_is_what_was_issued():
    buyer = BuyerFactory(name="Fallow Grounds", street="9 Mill Rise", city="West Thistle")
    document = sold(buyer=buyer)
    before = text_of(document_pdf(document))

    Nursery.objects.update(name="Other Name", licence_number="X-1", units="metric", language="fr")
    Buyer.objects.update(street="1 Elsewhere", language="de")
    Plant.objects.update(
        name="Taxus baccata", common_name="Yew", poisonous="", propagation_right=""
    )

    assert text_of(document_pdf(document)) == before
    assert "Nursery licence N-2041" in before
    assert "Right 77 of Fallow Breeding" in before


def test_a_right_that_has_lapsed_is_not_printed():
    plant = PlantFactory(**YEW, patent_expires=DAY - timedelta(days=1))

    document = sell_from(lot_holding(5, plant=plant), 1, buyer=BuyerFactory())

    assert "Right 77" not in text_of(document_pdf(document))


def test_an_invoice_is_pdf_a_3b():
    """ISO 19005-3: the part and level in the XMP, an output intent, every font embedded."""
    reader = PdfReader(io.BytesIO(document_pdf(sold(buyer=BuyerFactory()))))

    xmp = etree.fromstring(reader.trailer["/Root"]["/Metadata"].get_data())
    said = {key: value for node in xmp.iter() for key, value in node.attrib.items()}
    assert (said[f"{PDFAID}part"], said[f"{PDFAID}conformance"]) == ("3", "B")
    (intent,) = reader.trailer["/Root"]["/OutputIntents"]
    assert intent["/S"] == "/GTS_PDFA1"
    assert intent["/DestOutputProfile"].get_object().get_data()[36:40] == b"acsp", "an ICC profile"
    assert reader.trailer["/ID"]
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            (inner,) = font["/DescendantFonts"]
            assert {"/FontFile2", "/FontFile3"} & set(inner["/FontDescriptor"])


def test_a_file_can_come_along_in_the_invoice():
    enclosed = Enclosure("facts.xml", b"<facts/>", "Alternative", "The same, for machines")
    more = b'<rdf:Description xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"/>'

    pdf = document_pdf(sold(buyer=BuyerFactory()), enclosures=[enclosed], xmp=[more])

    reader = PdfReader(io.BytesIO(pdf))
    assert reader.attachments["facts.xml"] == [b"<facts/>"]
    files = reader.trailer["/Root"]["/AF"]
    assert {file["/AFRelationship"] for file in files} == {"/Alternative"}
    assert more in reader.trailer["/Root"]["/Metadata"].get_data()


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("de", ["Rechnung 2025-0001", "10. April 2025", "Zu zahlen 4.351,50", "Seite 1 von 1"]),
        ("fr", ["Facture 2025-0001", "10 avril 2025", "À payer 4 351,50", "Page 1 sur 1"]),
        ("es", ["Factura 2025-0001", "10 de abril de 2025", "A pagar 4.351,50", "Página 1 de 1"]),
        ("en", ["Invoice 2025-0001", "10 April 2025", "To pay 4.351,50 €", "Page 1 of 1"]),
    ],
)
def test_an_invoice_speaks_the_buyers_language(language, words):
    """Formats by the CLDR: English in Germany (en-DE) counts in the German way."""
    Nursery.objects.update(**LEIPZIG)

    document = sold(buyer=BuyerFactory(language=language))

    text = text_of(document_pdf(document))
    for word in words:
        assert word in text.replace("\u202f", " ").replace("\xa0", " "), text


def test_without_the_buyers_the_nurserys_language_is_spoken():
    Nursery.objects.update(**LEIPZIG)

    assert "Rechnung" in text_of(document_pdf(sold(buyer=BuyerFactory())))


def test_an_address_names_the_country_only_abroad():
    Nursery.objects.update(**LEIPZIG)
    home = BuyerFactory(city="Halle", postcode="06108", country="DE")
    abroad = BuyerFactory(city="Lyon", postcode="69001", country="FR", language="fr")

    text = text_of(document_pdf(sold(buyer=home)))
    assert "06108 Halle" in text and "Deutschland" not in text
    lot = lot_holding(4, "L2")
    text = text_of(document_pdf(sell_from(lot, 1, buyer=abroad)))
    assert "69001 Lyon France" in text and "04109 Leipzig Allemagne" in text


def test_a_delivery_note_has_lots_and_no_prices():
    plant = PlantFactory(**YEW)
    first, second = lot_holding(2, "L1", plant=plant), lot_holding(9, "L2", plant=plant)
    items = [
        operations.Item(plant, lot.container, 2, lot=lot, unit_price=Decimal("14.50"))
        for lot in (first, second)
    ]
    document = operations.sell(items=items, on=DAY, buyer=BuyerFactory(), request_id=uuid4())

    text = text_of(delivery_pdf(document))

    assert "Delivery note 2025-0001" in text
    assert "L1: 2 L2: 2 4" in text
    assert "Plants in all 4" in text
    assert "Poisonous in every part." in text
    assert "14.50" not in text and "$" not in text
    assert "Plant Passport" not in text, "only where there is a registration"


def test_a_plant_passport_has_the_fields_of_the_regulation():
    """Regulation (EU) 2016/2031, Annex VII, part A, from memory: title, A, B, C, D."""
    Nursery.objects.update(**LEIPZIG, passport_country="DE", passport_registration="SN-123456")

    text = text_of(delivery_pdf(sold(buyer=BuyerFactory())))

    assert "Pflanzenpass / Plant Passport" in text
    assert "A Taxus ×media 'Hicksii' B DE-SN-123456 C L1 D DE" in text


def test_a_file_is_named_so_that_any_mail_takes_it():
    Nursery.objects.update(**LEIPZIG | {"name": "Gärtnerei „Stille Bank“"})
    document = sold(buyer=BuyerFactory())

    assert file_name(document, "Invoice") == "gartnerei-stille-bank-rechnung-2025-0001.pdf"
    assert file_name(document, "Invoice", "fr") == "gartnerei-stille-bank-facture-2025-0001.pdf"


def test_the_page_offers_other_languages_and_papers(client):
    document = sold(buyer=BuyerFactory(language="es"))
    client.force_login(UserFactory())

    page = client.get(reverse("sales:document", args=[document.pk])).content.decode()
    assert '<option value="es" selected>español</option>' in page
    assert reverse("sales:delivery-pdf", args=[document.pk]) in page

    url = reverse("sales:document-pdf", args=[document.pk])
    answer = client.get(url, {"language": "de", "paper": "A4"})
    assert "rechnung-2025-0001.pdf" in answer.headers["Content-Disposition"]
    assert "Rechnung" in text_of(answer.content)
    box = PdfReader(io.BytesIO(answer.content)).pages[0].mediabox
    assert round(float(box.height) / 72 * 25.4) == 297
    # What is no language is passed over.
    assert client.get(url, {"language": "tlh", "paper": "wall"}).status_code == 200


def test_a_credit_note_has_no_delivery_note(client):
    document = sold(buyer=BuyerFactory())
    credit = operations.take_back(
        document=document,
        plants=[(document.lines.get().takes.get().movement.from_lot, 1)],
        on=date(2025, 4, 12),
        restock=True,
        request_id=uuid4(),
    )
    client.force_login(UserFactory())

    url = reverse("sales:delivery-pdf", args=[credit.pk])
    assert client.get(url).status_code == 404
    assert url not in client.get(reverse("sales:document", args=[credit.pk])).content.decode()
