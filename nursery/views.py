"""Pages that belong to no single app."""

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.forms.nursery import NurseryForm
from inventory.models import Nursery
from inventory.operations.nursery import change_nursery, show_first_season
from inventory.queries.clock import is_behind
from inventory.queries.entries import latest_entries
from inventory.rights_of_pages import COSTS
from nursery.context import current_nursery
from nursery.first_season import first_season
from nursery.glossary import chapters_with
from nursery.http import go_to
from nursery.people.rights import DEEDS, may
from nursery.today import groups_to_do, on_hand_by_container
from nursery.undo import offer_undo
from nursery.watching.health import health

SETTINGS = (
    "name",
    "currency",
    "cash_step",
    "counted_for_price",
    "units",
    "season_start_month",
    "season_end_month",
    "last_frost_month",
    "last_frost_day",
    "first_frost_month",
    "first_frost_day",
    "counts_own_time",
)


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """Show what is on hand, what needs doing and what was entered last."""
    on, nursery = date.today(), current_nursery()
    entries = latest_entries(with_costs=request.user.has_perm(COSTS))
    newest = entries[0].operation.entered_at if entries else None
    context = {
        "place": "today",
        "today": on,
        "clock_ran_to": newest if is_behind(newest) else None,
        "on_hand": on_hand_by_container(),
        "groups": groups_to_do(on, nursery, request.user),
        "entries": entries,
        "season": first_season(nursery) if nursery.shows_first_season else None,
    }
    return render(request, "today.html", context)


@require_safe
def first_season_page(request: HttpRequest) -> HttpResponse:
    """Show the steps of a first year, and which of them the ledger knows to be done."""
    nursery = current_nursery()
    context = {"season": first_season(nursery), "is_put_away": not nursery.shows_first_season}
    return render(request, "first_season.html", context)


@require_POST
def put_first_season(request: HttpRequest, shown: bool) -> HttpResponse:
    """Put the steps of a first year away, or back on Today."""
    show_first_season(shown=shown)
    if not shown:
        text = "The first season is put away. It stays under Help."
        offer_undo(request, text, reverse("first-season-back"))
    return go_to(request, "today")


@require_http_methods(["GET", "POST"])
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
    told = health() if may(request.user, DEEDS) else None
    return render(request, "settings.html", {"form": form, "health": told})


@require_safe
def help(request: HttpRequest) -> HttpResponse:
    """Show the ledger's year, its words, all or those that hold what is sought, its cautions."""
    wanted = request.GET.get("word", "")
    return render(request, "help.html", {"wanted": wanted, "chapters": chapters_with(wanted)})
