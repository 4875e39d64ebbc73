"""Say from which day a lot is ready to sell."""

from datetime import date

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from inventory.forms.ready import ReadyForm
from inventory.models import Lot
from inventory.operations.ready import set_ready_on
from inventory.views.entering import lot_to_enter
from nursery.http import go_to
from nursery.undo import offer_undo

AT_ONCE = "at-once"


@require_http_methods(["GET", "POST"])
def ready_on(request: HttpRequest, pk: int) -> HttpResponse:
    """Set the day, or leave it empty."""
    lot = lot_to_enter(pk)
    before = lot.ready_on
    form = ReadyForm(request.POST or None, initial={"ready_on": before})
    if form.is_bound and form.is_valid():
        try:
            set_ready_on(lot=lot, **form.cleaned_data)
        except LedgerError as error:
            form.add_error("ready_on", str(error))
        else:
            day = before.isoformat() if before else AT_ONCE
            offer_undo(request, _said(lot), reverse("inventory:ready-back", args=[pk, day]))
            return go_to(request, "inventory:lot", pk)
    context = {"place": "growing", "lot": lot, "form": form, "each": None}
    return render(request, "inventory/ready_on.html", context)


@require_POST
def ready_back(request: HttpRequest, pk: int, day: str) -> HttpResponse:
    """Put back the day that stood there before."""
    lot = get_object_or_404(Lot, pk=pk)
    try:
        set_ready_on(lot=lot, ready_on=None if day == AT_ONCE else date.fromisoformat(day))
    except ValueError as error:
        raise Http404 from error
    messages.success(request, f"Undone. {_said(lot)}")
    return go_to(request, "inventory:lot", pk)


def _said(lot):
    if lot.ready_on:
        return f"Lot {lot} is ready from {lot.ready_on.day} {lot.ready_on:%B %Y} on."
    return f"Lot {lot} is ready as soon as it stands in a container for sale."
