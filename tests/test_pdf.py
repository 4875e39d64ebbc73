"""Documents on paper: what the PDF says, and what it never asks for."""

import io
import re
import sys
from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import psutil
import pytest
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from inventory.models import Nursery
from nursery.pictures import NoPicture, fit_to_show
from sales import operations
from sales.documents import pdf
from sales.documents.papers import document_pdf
from sales.labels import paper as labels_paper
from sales.models import TaxRate
from sales.queries.document_page import plants_out
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    UserFactory,
    exempt_buyer,
    lot_holding,
    sell_from,
)

pytest.importorskip(
    "weasyprint", reason="the libraries that set PDFs are missing", exc_type=OSError
)
pytestmark = pytest.mark.django_db

YEW = {
    "name": "Taxus ×media 'Hicksii'",
    "common_name": "Hicks yew",
    "poisonous": "Poisonous in every part. Keep from children and animals.",
}


@pytest.fixture(autouse=True)
def nursery():
    NurseryFactory(units="us")
    TaxRate.objects.create(name="Sales tax", percent=Decimal("6.25"), valid_from=date(2020, 1, 1))


def sold(quantity=3, price="14.50", **more):
    return sell_from(lot_holding(20, plant=PlantFactory(**YEW)), quantity, price, **more)


def reader_of(document):
    return PdfReader(io.BytesIO(document_pdf(document)))


def text_of(document):
    return " ".join(" ".join(page.extract_text().split()) for page in reader_of(document).pages)


def test_an_invoice_says_what_an_invoice_must():
    buyer = BuyerFactory(name="Fallow Grounds", address="9 Mill Rise\nEast Thistle", terms_days=14)
    document = sold(buyer=buyer)

    text = text_of(document)

    for words in (
        "Quiet Bench Plants",
        "3 Fallow Row",
        f"Invoice {document.number}",
        "April 10, 2025",
        "Due on April 24, 2025",
        "Fallow Grounds",
        "9 Mill Rise",
        "Taxus ×media 'Hicksii'",
        "Hicks yew",
        "#1",
        "14.50",
        "43.50",
        "Sales tax 6.25%",
        # 6.25 percent of 43.50 is 2.71875, half-up 2.72 (check values, D4: half-up to the cent).
        "$2.72",
        "$46.22",
        "To pay $46.22",
        "Poisonous in every part. Keep from children and animals.",
        "Page 1 of 1",
    ):
        assert words in text, words


def test_botanical_names_are_set_in_italics():
    fonts = []

    def visit(text, _transform, _matrix, font, _size):
        if "Taxus" in text or "Hicksii" in text:
            fonts.append((text.strip(), font["/BaseFont"]))

    reader_of(sold()).pages[0].extract_text(visitor_text=visit)

    latin = [font for text, font in fonts if "Taxus" in text]
    assert latin and all("Italic" in font or "Oblique" in font for font in latin)
    cultivar = [font for text, font in fonts if "Hicksii" in text]
    assert cultivar and not any("Italic" in font or "Oblique" in font for font in cultivar)


def test_what_was_paid_and_what_is_open_is_told():
    document = sold(buyer=BuyerFactory())
    operations.pay(
        document=document, amount=Decimal(20), method="cheque", on=DAY, request_id=uuid4()
    )

    text = text_of(document)

    assert "Paid by cheque −$20.00" in text
    assert "To pay $26.22" in text


def test_a_paid_walk_in_sale_has_a_receipt():
    text = text_of(sold(paid_by="cash"))

    assert "Receipt 2025-0001" in text
    assert "Sold at the stand" in text
    assert "Paid by cash" in text
    assert "Due on" not in text


def test_a_credit_note_names_the_invoice_it_corrects():
    document = sold(buyer=BuyerFactory())
    credit = operations.take_back(
        document=document,
        plants=[(plants_out(document)[0][0], 1)],
        on=DAY + timedelta(days=3),
        restock=True,
        request_id=uuid4(),
    )

    text = text_of(credit)

    assert f"Credit note {credit.number}" in text
    assert f"corrects invoice {document.number} of April 10, 2025" in text
    assert f"Credited to you {'$' + str(round(credit.total, 2))}" in text
    assert "Credited since −$" in text_of(document)


def test_an_exempt_buyer_sees_the_certificate_and_no_tax():
    buyer = exempt_buyer(issuer="county")

    text = text_of(sold(buyer=buyer))

    assert "Exempt, certificate E-17, county" in text
    assert "6.25%" not in text
    assert "Total $43.50" in text


def test_a_cancelled_sale_says_so_on_paper():
    document = sold(buyer=BuyerFactory())
    operations.undo_sale(document=document, request_id=uuid4())

    assert "Cancelled. This document is not to be paid." in text_of(document)


@pytest.mark.parametrize(
    "units, millimetres",
    # ISO 216: A4 is 210 × 297 mm; ANSI/ASME Y14.1: letter is 8.5 × 11 in = 215.9 × 279.4 mm.
    [("metric", (210, 297)), ("us", (215.9, 279.4))],
)
def test_the_paper_is_that_of_the_nursery(units, millimetres):
    Nursery.objects.update(units=units)

    box = reader_of(sold()).pages[0].mediabox

    for points, wanted in zip((box.width, box.height), millimetres, strict=True):
        assert float(points) / 72 * 25.4 == pytest.approx(wanted, abs=0.1)


def test_a_long_invoice_numbers_its_pages_and_repeats_its_head():
    items = [
        operations.Item(lot.plant, lot.container, 1, lot=lot, unit_price=Decimal(2))
        for lot in (lot_holding(2, f"L{n}") for n in range(60))
    ]
    document = operations.sell(items=items, on=DAY, buyer=BuyerFactory(), request_id=uuid4())

    pages = [page.extract_text() for page in reader_of(document).pages]

    assert len(pages) > 1
    for number, text in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in text
        assert "Amount, USD" in text or number == len(pages)


def test_the_maker_reads_only_the_ledgers_own_files():
    fetcher = pdf.own_files_only()

    sheet = fetcher.fetch("static:/css/documents.css")
    assert b"@page" in sheet.read()
    for url in (
        "https://example.invalid/logo.png",
        "http://127.0.0.1/",
        "file:///etc/hostname",
        "static:/../settings.py",
        "static:/nothing-there.css",
        "data:text/plain,hello",
    ):
        with pytest.raises(Exception, match=r"own files|no file|outside|located"):
            fetcher.fetch(url)


def test_markup_in_a_name_stays_text():
    document = sold(buyer=BuyerFactory(name="<img src=x> & Sons"))

    assert "<img src=x> & Sons" in text_of(document)


def test_the_page_answers_with_a_pdf(client):
    document = sold()
    client.force_login(UserFactory())

    answer = client.get(reverse("sales:document-pdf", args=[document.pk]))

    assert answer.headers["Content-Type"] == "application/pdf"
    assert f"{document.number}.pdf" in answer.headers["Content-Disposition"]
    assert answer.content.startswith(b"%PDF-")


def test_what_to_install_names_the_packages(monkeypatch):
    monkeypatch.setattr("sys.platform", "linux")
    assert "sudo apt-get install libpango-1.0-0" in pdf.what_to_install()
    monkeypatch.setattr("sys.platform", "darwin")
    assert "brew install pango" in pdf.what_to_install()


def test_a_machine_without_the_libraries_gets_a_plain_page(client, monkeypatch):
    document = sold()
    client.force_login(UserFactory())
    monkeypatch.setitem(sys.modules, "weasyprint", None)

    answer = client.get(reverse("sales:document-pdf", args=[document.pk]))

    assert answer.status_code == 503
    assert "lacks the libraries that set PDFs; all else works" in answer.content.decode()


@pytest.mark.parametrize("dress", [pdf.DRESS, labels_paper.DRESS])
def test_no_paper_asks_for_a_variant_of_its_font(dress):
    """WeasyPrint 70.0 keeps in memory what it sets with one, some 60,000 bytes an invoice."""
    assert not re.search("font-(variant|feature)[a-z-]*:", pdf.own_file(dress).read_text("utf-8"))


def test_a_picture_that_arrived_in_part_is_refused_after_a_paper_too():
    out = io.BytesIO()
    Image.effect_noise((90, 60), 40).save(out, "JPEG")
    pdf.set_on_paper("<html lang='en'><h1>Invoice</h1></html>")

    with pytest.raises(NoPicture, match="arrived in part"):
        fit_to_show(out.getvalue()[:-900])


@pytest.mark.sqlite
def test_one_paper_after_another_takes_no_more_memory():
    paper = "<html lang='en'><h1>Invoice</h1><p>Three shrubs</p></html>"
    memory = psutil.Process().memory_info

    for _ in range(20):
        pdf.set_on_paper(paper)
    before = memory().rss
    for _ in range(40):
        pdf.set_on_paper(paper)

    assert memory().rss - before < 4_000_000, "a paper would keep some 260,000 bytes"
