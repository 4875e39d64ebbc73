"""Ask for plants on the web, as anyone or as a buyer with a link."""

from collections.abc import Sequence

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import get_language
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from inventory.errors import LedgerError
from nursery.context import current_nursery
from nursery.openly import open_to_all
from nursery.visitor import origin_of
from sales import operations
from sales.documents.offers import voice_for
from sales.documents.words import speaking
from sales.forms.requests import AskForm
from sales.models import Buyer
from sales.public import PublicLine
from sales.queries.offer import offer
from sales.queries.public_list import (
    choice_of,
    kept_lines,
    lines_of,
    link_in_force,
    public_list,
)
from sales.views.public_list import for_them_alone, link_ended, shown_list


@open_to_all
@never_cache
@require_http_methods(["GET", "POST"])
def public_ask(request: HttpRequest) -> HttpResponse:
    """Let anyone ask for plants of the list."""
    row = shown_list()
    if not row.takes_requests:
        raise Http404
    with speaking(*voice_for(None)):
        return _ask(request, kept_lines(row), back=reverse("sales:public-list"))


@open_to_all
@never_cache
@require_http_methods(["GET", "POST"])
def buyer_ask(request: HttpRequest, token: str) -> HttpResponse:
    """Let a buyer with a link ask for plants at their prices."""
    link, row = link_in_force(token), public_list()
    if link is None:
        return link_ended(request)
    if not row.takes_requests:
        raise Http404
    buyer = link.buyer.kept
    with speaking(*voice_for(buyer)):
        lines = lines_of(offer(choice_of(row, buyer.list_in_use)), with_photos=False)
        return _ask(request, lines, buyer, reverse("sales:buyer-list", args=[token]))


def _ask(
    request: HttpRequest, lines: Sequence[PublicLine], buyer: Buyer | None = None, back: str = ""
) -> HttpResponse:
    """Show the form or take down what it asks for, and say thank you."""
    known = {"name": buyer.name, "email": buyer.email, "phone": buyer.phone} if buyer else {}
    form = AskForm(request.POST or None, lines=lines, initial=known)
    if form.is_bound and form.is_of_a_machine:
        # A machine is thanked too, so that it does not try something else.
        return redirect(f"{request.path}?sent=yes")
    if form.is_valid():
        try:
            operations.ask_for_plants(
                **form.asked(), origin=origin_of(request), buyer=buyer, language=_language()
            )
        except LedgerError as error:
            form.refuse(error)
        else:
            return redirect(f"{request.path}?sent=yes")
    told = {
        "form": form,
        "back": back,
        "is_sent": "sent" in request.GET,
        "nursery_name": current_nursery().name,
    }
    return for_them_alone(render(request, "public/ask.html", told))


def _language() -> str:
    return (get_language() or "en")[:2]
