"""What the list on the web shows, and the links that buyers have to it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.undo import offer_undo
from sales import operations
from sales.forms.public_list import BuyerLinkForm, PublicListForm
from sales.models import Buyer, BuyerLink
from sales.queries.public_list import public_list, standing_link, standing_links
from sales.queries.words import day_words


@require_http_methods(["GET", "POST"])
def list_settings(request: HttpRequest) -> HttpResponse:
    """Show what the list on the web shows, and write it when sent."""
    row = public_list()
    form = PublicListForm(request.POST or None, row=row)
    if form.is_valid():
        try:
            row = operations.change_public_list(by=request.user, **form.cleaned_data)
        except LedgerError as error:
            form.refuse(error)
        else:
            on = "Anyone may see the list now." if row.is_on else "The list is off."
            messages.success(request, f"Saved. {on}")
            return go_to(request, "sales:settings-list")
    address = request.build_absolute_uri(reverse("sales:public-list"))
    context = {"form": form, "row": row, "address": address, "links": standing_links()}
    return render(request, "sales/settings_list.html", context)


@require_http_methods(["GET", "POST"])
def link_make(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a buyer's link to the list at their prices; make one, or keep it longer."""
    buyer = get_object_or_404(Buyer, pk=pk)
    known = standing_link(buyer)
    form = BuyerLinkForm(request.POST or None)
    if form.is_valid():
        try:
            link = operations.make_buyer_link(
                buyer=buyer.kept, by=request.user, **form.cleaned_data
            )
        except LedgerError as error:
            form.refuse(error)
        else:
            words = f"The link leads to the list until {day_words(link.last_on)}."
            if known:
                messages.success(request, words)
            else:
                offer_undo(request, words, reverse("sales:link-stop", args=[link.pk]))
            return go_to(request, "sales:link-make", pk)
    way = reverse("sales:buyer-list", args=[known.token]) if known else ""
    context = {
        "place": "buyers",
        "form": form,
        "buyer": buyer,
        "link": known,
        "address": request.build_absolute_uri(way),
    }
    return render(request, "sales/buyer_link.html", context)


@require_POST
def link_stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a link lead nowhere."""
    link = get_object_or_404(BuyerLink, pk=pk)
    operations.stop_buyer_link(link=link, by=request.user)
    undo = reverse("sales:link-back", args=[pk])
    offer_undo(request, "The link leads nowhere now.", undo)
    return go_to(request, "sales:link-make", link.buyer_id)


@require_POST
def link_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a stopped link lead to the list again."""
    link = get_object_or_404(BuyerLink, pk=pk)
    operations.restart_buyer_link(link=link, by=request.user)
    offer_undo(request, "The link works again.", reverse("sales:link-stop", args=[pk]))
    return go_to(request, "sales:link-make", link.buyer_id)
