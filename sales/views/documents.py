"""Invoices, receipts and credit notes: the list, one of them, its paper."""

from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from nursery.listing import list_page
from sales.documents.papers import DELIVERY, delivery_pdf, document_pdf, file_name
from sales.documents.pdf import PdfNotPossible
from sales.forms.amounts import read_amount
from sales.forms.documents import DocumentFilter, PaperForm
from sales.models import Document
from sales.queries.document_list import listed_documents, open_documents, owed_in_all
from sales.queries.document_page import (
    SETTLED_BESIDES,
    Standing,
    plants_out,
    standing_of,
    traced_lines_of,
)
from sales.tables.documents import DocumentTable

DOCUMENTS = Document.objects.select_related("buyer", "corrects")


@require_safe
def document_list(request: HttpRequest) -> HttpResponse:
    """Show all documents, and what is owed in all."""
    owing = open_documents()
    today = timezone.localdate()
    return list_page(
        request,
        DocumentTable,
        listed_documents(),
        template="sales/document_list.html",
        filterset=DocumentFilter,
        context={
            "place": "sell",
            "owed": owed_in_all(owing),
            "overdue": owed_in_all(owing.filter(due_on__lt=today)),
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
            "change": _change(request.GET.get("given", ""), standing),
        },
    )


@require_safe
def document_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with an invoice, receipt or credit note as a PDF."""
    found = get_object_or_404(DOCUMENTS, pk=pk)
    return _paper(request, found, document_pdf, standing_of(found).kind)


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
