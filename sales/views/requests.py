"""What buyers asked for on the web: the list, one of them, and putting it away."""

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from nursery.http import go_to
from nursery.listing import list_page
from nursery.undo import offer_undo
from sales import operations
from sales.models import PlantRequest
from sales.queries.public_list import public_list
from sales.queries.requests import (
    answer_url,
    buyer_of,
    hold_url,
    holds_of,
    lines_of,
    listed_requests,
    open_requests,
)
from sales.tables.requests import RequestTable


@require_safe
def request_list(request: HttpRequest) -> HttpResponse:
    """Show who asked for what; those put away where asked for."""
    shows_all = bool(request.GET.get("all"))
    waiting = open_requests().count()
    return list_page(
        request,
        RequestTable,
        listed_requests() if shows_all else open_requests(),
        template="sales/request_list.html",
        context={
            "place": "sell",
            "shows_all": shows_all,
            "waiting": waiting,
            "done_with": PlantRequest.objects.count() - waiting,
            "list": public_list(),
        },
        export_name="requests",
    )


@require_safe
def request_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one request: who asks, for what, what is free of it, and how to answer."""
    asked = get_object_or_404(PlantRequest.objects.select_related("buyer"), pk=pk)
    lines, buyer = lines_of(asked, timezone.localdate()), buyer_of(asked)
    known = {"name": asked.name, "email": asked.email, "phone": asked.phone, "asked": pk}
    context = {
        "place": "sell",
        "asked": asked,
        "lines": lines,
        "holds": list(holds_of(asked)),
        "buyer": buyer,
        "hold_url": hold_url(lines, asked, buyer) if lines else "",
        "answer_url": answer_url(asked, lines) if asked.email else "",
        "buyer_url": f"{reverse('sales:buyer-add')}?{urlencode(known)}",
    }
    return render(request, "sales/request.html", context)


@require_POST
def request_put_away(request: HttpRequest, pk: int) -> HttpResponse:
    """Put away a request that is done with."""
    asked = get_object_or_404(PlantRequest, pk=pk)
    operations.put_request_away(asked=asked, by=request.user)
    undo = reverse("sales:request-back", args=[pk])
    offer_undo(request, f"{asked} of {asked.name} is put away.", undo)
    return go_to(request, "sales:request-list")


@require_POST
def request_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a request back among those to be answered."""
    asked = get_object_or_404(PlantRequest, pk=pk)
    operations.take_request_up(asked=asked, by=request.user)
    undo = reverse("sales:request-put-away", args=[pk])
    offer_undo(request, f"{asked} of {asked.name} waits for an answer again.", undo)
    return go_to(request, "sales:request", pk)
