"""Pages that belong to no single app."""

from datetime import date

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from inventory.errors import LedgerError
from inventory.forms.nursery import NurseryForm
from inventory.models import Nursery
from inventory.operations.nursery import change_nursery
from inventory.queries.entries import latest_entries
from nursery.context import current_nursery
from nursery.http import go_to
from nursery.today import groups_to_do, on_hand_by_container

SETTINGS = (
    "name",
    "currency",
    "cash_step",
    "counted_for_price",
    "units",
    "season_start_month",
    "season_end_month",
    "counts_own_time",
)


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """Show what is on hand, what needs doing and what was entered last."""
    on = date.today()
    context = {
        "place": "today",
        "today": on,
        "on_hand": on_hand_by_container(),
        "groups": groups_to_do(on, current_nursery()),
        "entries": latest_entries(),
    }
    return render(request, "today.html", context)


@require_http_methods(["GET", "POST"])
@permission_required("inventory.change_nursery", raise_exception=True)
def settings(request: HttpRequest) -> HttpResponse:
    """Show the nursery's settings, and write them when sent."""
    nursery = Nursery.current()
    initial = {name: getattr(nursery, name) for name in SETTINGS}
    form = NurseryForm(request.POST or None, initial=initial)
    if form.is_valid():
        try:
            change_nursery(**{name: form.cleaned_data[name] for name in SETTINGS})
        except LedgerError as error:
            form.refuse(error)
        else:
            messages.success(request, "The settings are saved.")
            return go_to(request, "settings")
    return render(request, "settings.html", {"form": form})


@require_safe
def help(request: HttpRequest) -> HttpResponse:
    """Show the ledger's year, its words and its cautions."""
    return render(request, "help.html")
