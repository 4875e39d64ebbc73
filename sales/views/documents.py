"""Invoices, receipts and credit notes: the list, one of them, its paper."""

from decimal import Decimal
from functools import partial

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from nursery.listing import list_page
from sales.documents.papers import DELIVERY, delivery_pdf, document_pdf, file_name
from sales.documents.pdf import PdfNotPossible
from sales.einvoice.issued import enclosed, invoice_of, wanting
from sales.einvoice.xml import cii, ubl
from sales.forms.amounts import read_amount
from sales.forms.documents import DocumentFilter, PaperForm
from sales.models import Document
from sales.queries.document_list import listed_documents, owed_and_overdue
from sales.queries.document_page import (
    SETTLED_BESIDES,
    Standing,
    plants_out,
    standing_of,
    traced_lines_of,
)
from sales.tables.documents import DocumentTable

SYNTAXES = {"cii": cii, "ubl": ubl}
DOCUMENTS = Document.objects.select_related("buyer", "corrects").prefetch_related("taxes")


@require_safe
def document_list(request: HttpRequest) -> HttpResponse:
    """Show all documents, and what is owed in all."""
    owed, overdue = owed_and_overdue(timezone.localdate())
    return list_page(
        request,
        DocumentTable,
        listed_documents(),
        template="sales/document_list.html",
        filterset=DocumentFilter,
        context={
            "place": "sell",
            "owed": owed,
            "overdue": overdue,
        },
        export_name="invoices",
    )


@require_safe
def document(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one document: what was sold, where it came from, what is open."""
    found = get_object_or_404(DOCUMENTS, pk=pk)
    standing = standing_of(found)
    return render(
        request,
        "sales/document.html",
        {
            "place": "sell",
            "page_class": "sell" if "sold" in request.GET else "",
            "document": found,
            "standing": standing,
            "own_words": SETTLED_BESIDES,
            "lines": traced_lines_of(found),
            "some_are_out": not found.is_credit and bool(plants_out(found)),
            "just_sold": "sold" in request.GET,
            "paper_form": PaperForm(initial=PaperForm.issued(found)),
            "wanting": wanting(found) if found.buyer_id else [],
            "change": _change(request.GET.get("given", ""), standing),
        },
    )


@require_safe
def document_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with an invoice, receipt or credit note as a PDF."""
    found = get_object_or_404(DOCUMENTS, pk=pk)
    make = partial(document_pdf, **enclosed(found))
    return _paper(request, found, make, standing_of(found).kind)


@require_safe
def document_for_machines(request: HttpRequest, pk: int, syntax: str) -> HttpResponse:
    """Answer with an invoice or credit note as XML by EN 16931, in either syntax."""
    found = get_object_or_404(DOCUMENTS, pk=pk)
    if syntax not in SYNTAXES or wanting(found):
        raise Http404
    response = HttpResponse(SYNTAXES[syntax](invoice_of(found)), content_type="application/xml")
    name = file_name(found, standing_of(found).kind, "", f"-{syntax}.xml")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@require_safe
def delivery_note(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with the delivery note of a sale as a PDF."""
    found = get_object_or_404(DOCUMENTS, pk=pk, kind=Document.Kind.SALE)
    return _paper(request, found, delivery_pdf, DELIVERY)


def _paper(request, document, make, title):
    """Answer with a PDF, or say what this machine lacks for it."""
    chosen = PaperForm.chosen(request.GET)
    try:
        pdf = make(document, **chosen)
    except PdfNotPossible as error:
        context = {"place": "sell", "document": document, "error": error}
        return render(request, "sales/no_pdf.html", context, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    name = file_name(document, title, chosen["language"])
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def _change(given: str, standing: Standing) -> Decimal | None:
    """Return what a buyer gets back of the cash given, or None."""
    try:
        change = read_amount(given) - (standing.received or standing.document.total)
    except ValueError:
        return None
    return change if change >= 0 else None
