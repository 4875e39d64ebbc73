"""Promise plants: in a new hold, or more of them in one that is made."""

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.numbers import is_number
from nursery.once import NAME, saved_before
from nursery.templatetags.nursery_tags import money
from nursery.undo import offer_undo
from sales import operations
from sales.forms.basket import NUMBER
from sales.forms.holds import BESIDE, HoldForm, PlantsToHoldForm
from sales.models import Hold
from sales.queries.words import day_words
from sales.views.holds import saved_hold, told, undo_url


@require_http_methods(["GET", "POST"])
def hold_add(request: HttpRequest) -> HttpResponse:
    """Hold plants for a buyer, or order them ahead."""
    if request.method == "POST" and "more" in request.POST:
        return redirect(_address_with_one_more(reverse("sales:hold-add"), request.POST, HoldForm))
    form = HoldForm(request.POST or None, state=request.GET, today=timezone.localdate())
    if known := saved_before(request, form, saved_hold):
        return known
    if form.is_bound and form.is_valid():
        try:
            made = operations.hold(by=request.user, **form.hold())
        except LedgerError as error:
            form.refuse(error)
        else:
            offer_undo(request, _said(made, form), undo_url(made.changes.get()))
            return go_to(request, "sales:hold", made.pk)
    return render(request, "sales/hold_form.html", {"place": "sell", "form": form})


@require_http_methods(["GET", "POST"])
def hold_more(request: HttpRequest, pk: int) -> HttpResponse:
    """Promise more plants in a hold, of kinds it has or of others."""
    found = get_object_or_404(Hold.objects.select_related("buyer"), pk=pk)
    if request.method == "POST" and "more" in request.POST:
        here = reverse("sales:hold-more", args=[pk])
        return redirect(_address_with_one_more(here, request.POST, PlantsToHoldForm))
    form = PlantsToHoldForm(request.POST or None, state=request.GET, today=timezone.localdate())
    if known := saved_before(request, form, saved_hold):
        return known
    if form.is_bound and form.is_valid():
        try:
            change = operations.add_to_hold(hold=found, by=request.user, **form.more())
        except LedgerError as error:
            form.refuse(error)
        else:
            offer_undo(request, f"Added: {told(change)}.", undo_url(change))
            return go_to(request, "sales:hold", found.pk)
    context = {"place": "sell", "hold": found, "form": form}
    return render(request, "sales/hold_more.html", context)


def _said(made, form):
    words = f"Held for {made.buyer} until {day_words(made.until)}."
    paid = form.cleaned_data["deposit"]
    return f"{words} Deposit of {money(paid)} on their account." if paid else words


def _address_with_one_more(address, data, form) -> str:
    """Return a form's address with what was typed and one more plant to hold."""
    state = {name: data[name] for name in form.named if data.get(name)}
    if data.get("request_id"):
        state[NAME] = data["request_id"]
    state |= {
        name: data[name] for name in data if name.partition("-")[0] in BESIDE and data[name].strip()
    }
    state |= {name: data[name] for name in data if NUMBER.fullmatch(name)}
    if is_number(data.get("plant", "")) and is_number(data.get("container", "")):
        state.setdefault(f"n-{data['plant']}-{data['container']}", "")
    return f"{address}?{urlencode(state)}#plants"
