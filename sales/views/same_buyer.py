"""A buyer written down twice: compare, make one of them, and two again."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.undo import offer_undo
from sales import operations
from sales.forms.same_buyer import OtherBuyerForm, SameBuyerForm
from sales.models import Buyer
from sales.queries.same_buyer import alike, compare
from sales.views.buyers import buyer_at


@require_http_methods(["GET", "POST"])
def same_buyer(request: HttpRequest, pk: int) -> HttpResponse:
    """Compare a buyer with another entry, and say that they are the same."""
    kept = buyer_at(pk)
    chooser = OtherBuyerForm(request.GET if "other" in request.GET else None, kept=kept)
    other = chooser.cleaned_data["other"] if chooser.is_valid() else None
    form = SameBuyerForm(request.POST or None, initial={"other": other})
    if form.is_valid():
        other = form.cleaned_data["other"]
        try:
            merged = operations.merge_buyers(
                kept=kept,
                merged=other,
                request_id=form.cleaned_data["request_id"],
                by=request.user,
            )
        except LedgerError as error:
            form.refuse(error)
        else:
            undo = reverse("sales:two-buyers", args=[merged.pk])
            offer_undo(request, f"{merged} is the same buyer as {kept} now.", undo)
            return go_to(request, "sales:buyer", kept.pk)
    context = {
        "place": "buyers",
        "buyer": kept,
        "chooser": chooser,
        "form": form,
        "alike": alike(kept.name, but=kept),
        "compared": compare(kept, other) if other else None,
    }
    return render(request, "sales/same_buyer.html", context)


@require_POST
def two_buyers(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that an entry is another buyer after all."""
    buyer = get_object_or_404(Buyer, pk=pk)
    try:
        operations.split_buyer(buyer=buyer, by=request.user)
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{buyer} is a buyer of its own again.")
    return redirect("sales:buyer", pk)
