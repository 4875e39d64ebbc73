"""Plants come back, or a whole sale is undone."""

from uuid import NAMESPACE_URL, uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.once import saved_before
from nursery.undo import offer_undo
from sales import operations
from sales.forms.returns import TakeBackForm
from sales.models import Document
from sales.queries.document_page import plants_out


@require_http_methods(["GET", "POST"])
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take plants of a sale back and issue the credit note."""
    document = get_object_or_404(Document, pk=pk, kind=Document.Kind.SALE)
    form = TakeBackForm(request.POST or None, plants=plants_out(document))
    if known := saved_before(request, form):
        return known
    if form.is_valid():
        try:
            credit = operations.take_back(document=document, by=request.user, **form.take_back())
        except LedgerError as error:
            form.refuse(error)
        else:
            undo = reverse("sales:undo-sale", args=[credit.pk])
            offer_undo(request, f"Taken back; credit note {credit} was issued.", undo)
            return go_to(request, "sales:document", credit.pk)
    context = {"place": "sell", "document": document, "form": form}
    return render(request, "sales/take_back.html", context)


@require_POST
def undo_sale(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a sale or a return; its number stays, marked as cancelled."""
    document = get_object_or_404(Document, pk=pk)
    try:
        operations.undo_sale(
            document=document,
            # The same document undone twice is the same request.
            request_id=uuid5(NAMESPACE_URL, f"undo-sale-{document.pk}"),
            by=request.user,
        )
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(
            request, f"{document} is cancelled. Its number stays used; plants and money are back."
        )
    return go_to(request, "sales:document", document.pk)
