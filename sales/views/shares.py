"""Show one document by a link, without a login."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from nursery.http import go_to, only_on_this_machine
from nursery.openly import open_to_all
from nursery.qr import drawn
from nursery.undo import offer_undo
from sales import operations
from sales.documents.papers import country_of, document_pdf, file_name, invoice_of, language_of
from sales.documents.pdf import PdfNotPossible
from sales.documents.words import speaking
from sales.einvoice.issued import enclosed
from sales.models import Document, SharedPaper
from sales.queries.document_page import standing_of

SHARED = SharedPaper.objects.select_related("document__corrects", "document__buyer")
# A link is for whoever was given it: no cache keeps what it shows, and no index the link.
FOR_THEM_ALONE = {
    "Cache-Control": "no-store",
    "X-Robots-Tag": "noindex, nofollow",
    "Referrer-Policy": "no-referrer",
}


@require_http_methods(["GET", "POST"])
def share(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the link to a document with its code; make it where there is none."""
    document = get_object_or_404(Document, pk=pk)
    if request.method == "POST":
        made = operations.share_document(document=document, by=request.user)
        undo = reverse("sales:share-stop", args=[made.pk])
        offer_undo(request, f"Whoever has the link sees {document}.", undo)
        return go_to(request, "sales:share", pk)
    standing = document.shares.filter(is_withdrawn=False).first()
    address = standing and _address(request, standing)
    context = {
        "place": "sell",
        "document": document,
        "kind": standing_of(document).kind,
        "shared": standing,
        "address": address,
        "code": address and drawn(address),
        "only_here": only_on_this_machine(request),
    }
    return render(request, "sales/share.html", context)


def _address(request, shared):
    return request.build_absolute_uri(reverse("sales:shared", args=[shared.token]))


@require_POST
def share_stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a link lead nowhere."""
    found = get_object_or_404(SHARED, pk=pk)
    operations.stop_sharing(shared=found, by=request.user)
    undo = reverse("sales:share-again", args=[pk])
    offer_undo(request, f"The link to {found.document} leads nowhere now.", undo)
    return go_to(request, "sales:document", found.document_id)


@require_POST
def share_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a stopped link lead to its document again."""
    found = get_object_or_404(SHARED, pk=pk)
    operations.share_again(shared=found, by=request.user)
    undo = reverse("sales:share-stop", args=[pk])
    offer_undo(request, f"Whoever has the link sees {found.document} again.", undo)
    return go_to(request, "sales:share", found.document_id)


@open_to_all
@require_safe
def shared(request: HttpRequest, token: str) -> HttpResponse:
    """Show the document of a link to whoever has it, as its paper says it, and nothing else."""
    document = _document_at(token)
    _, shown = invoice_of(document)
    with speaking(language_of(document), country_of(document)):
        page = render(request, "sales/shared.html", shown | {"token": token})
    return _for_them_alone(page)


@open_to_all
@require_safe
def shared_pdf(request: HttpRequest, token: str) -> HttpResponse:
    """Answer with the PDF of a link's document."""
    document = _document_at(token)
    try:
        pdf = document_pdf(document, **enclosed(document))
    except PdfNotPossible:
        return _for_them_alone(HttpResponse(status=503))
    response = HttpResponse(pdf, content_type="application/pdf")
    name = file_name(document, standing_of(document).kind)
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return _for_them_alone(response)


def _document_at(token):
    return get_object_or_404(SHARED, token=token, is_withdrawn=False).document


def _for_them_alone(response):
    for name, value in FOR_THEM_ALONE.items():
        response.headers[name] = value
    return response
