"""Undo an entry."""

from uuid import NAMESPACE_OID, uuid5

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, resolve_url
from django.utils.html import format_html
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from inventory.entered_with import set_prices_too
from inventory.errors import LedgerError
from inventory.models import Operation
from inventory.operations import reverse
from inventory.queries.later_sales import costs_of_later_sales, how_many_changed, lots_of
from inventory.views.entering import later_words
from nursery.http import go_to
from nursery.templatetags.nursery_tags import known_url

DOCUMENT_OF = {Operation.Kind.SALE: "invoice or receipt", Operation.Kind.RETURN: "credit note"}


@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo an entry, and say which later figures changed with it."""
    operation = get_object_or_404(Operation, pk=pk)
    if operation.kind in DOCUMENT_OF:
        messages.error(request, _on_its_document(operation.kind))
        return go_to(request, _back(request))
    if set_prices_too(operation) and not request.user.has_perm("sales.add_price"):
        raise PermissionDenied("set prices, and these plants came in with theirs")
    lots = lots_of(operation)
    before = costs_of_later_sales(lots, operation.date)
    try:
        reverse(operation=operation, request_id=_request_id(operation), by=request.user)
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        changed = how_many_changed(before, costs_of_later_sales(lots, operation.date))
        what = f"Undone: {operation.get_kind_display()}, {operation.date:%d %B %Y}."
        messages.success(request, f"{what} {later_words(changed)}".strip())
    return go_to(request, _back(request))


def _on_its_document(kind):
    return format_html(
        "It is undone on its {}, so that the money goes with the plants. "
        '<a href="{}">Find it among the documents</a>.',
        DOCUMENT_OF[kind],
        known_url("sales:document-list"),
    )


def _request_id(operation):
    """Make a second press of the same button the same request."""
    return uuid5(NAMESPACE_OID, f"undo {operation.request_id}")


def _back(request):
    came_from = request.headers.get("Referer", "")
    hosts = {request.get_host()}
    if url_has_allowed_host_and_scheme(came_from, hosts, require_https=request.is_secure()):
        return came_from
    return resolve_url("today")
