"""The availability list for a buyer: chosen on a page, taken along in any form."""

from urllib.parse import quote, urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from nursery.listing import CONTENT_TYPES
from sales.documents.offers import offer_json, offer_pdf, offer_sheet, offer_text
from sales.documents.pdf import PdfNotPossible
from sales.forms.offer import OfferForm
from sales.models import Numbers
from sales.queries.offer import Offer, offer

FORMS = {
    "pdf": "application/pdf",
    **CONTENT_TYPES,
    "json": "application/json",
    "txt": "text/plain; charset=utf-8",
}


@require_safe
def offer_page(request: HttpRequest) -> HttpResponse:
    """Show the list for a buyer, with what it shows to choose above it."""
    form = OfferForm(request.GET)
    found = offer(form.choice)
    text = offer_text(found, form.whom)
    context = {
        "place": "sell",
        "form": form,
        "offer": found,
        "text": text,
        "query": form.data.urlencode(),
        "mail_url": _mail(form, text),
        "plants": _ready(found),
    }
    return render(request, "sales/offer.html", context)


@require_safe
def offer_file(request: HttpRequest, kind: str) -> HttpResponse:
    """Answer with the list as a file, or say what this machine lacks for it."""
    if kind not in FORMS:
        raise Http404(f"The list is {', '.join(FORMS)}.")
    form = OfferForm(request.GET)
    found = offer(form.choice)
    try:
        content = _content(kind, found, form.whom)
    except PdfNotPossible as error:
        context = {"place": "sell", "error": error, "query": form.data.urlencode()}
        return render(request, "sales/offer_no_pdf.html", context, status=503)
    answer = HttpResponse(content, content_type=FORMS[kind])
    how = "inline" if kind in ("pdf", "txt") else "attachment"
    name = f"availability-{found.on.isoformat()}.{kind}"
    answer["Content-Disposition"] = f'{how}; filename="{name}"'
    return answer


def _content(kind, found: Offer, buyer):
    if kind in CONTENT_TYPES:
        return offer_sheet(found, kind, buyer)
    if kind == "json":
        return offer_json(found)
    return (offer_pdf if kind == "pdf" else offer_text)(found, buyer)


def _ready(found):
    """Return how many plants are ready, where the list tells numbers."""
    if found.choice.numbers != Numbers.EXACT:
        return None
    return sum(line.number for line in found.lines if line.ready_on is None)


def _mail(form, text):
    email = form.whom.email if form.whom else ""
    subject, _, body = text.partition("\n")
    words = urlencode({"subject": subject, "body": body.strip()}, quote_via=quote)
    return f"mailto:{quote(email)}?{words}"
