"""The supplies: what is there, what came and went, buying and counting."""

from fractions import Fraction
from functools import partial
from uuid import NAMESPACE_URL, UUID, uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.forms.supplies import BuyForm, CountSupplyForm, SupplyForm
from inventory.models import Supply, SupplyEntry
from inventory.operations import supply_catalogue
from inventory.operations.supplies import buy, count_supply, undo_supply_entry
from inventory.queries.supply_list import rows_by_supply, supply_rows
from inventory.queries.supply_page import (
    entries_of_supply,
    is_undone,
    purchases_of,
    tell_what_used_them,
)
from inventory.queries.supply_sentences import bought_sentence, counted_sentence, price_picture
from inventory.tables.supplies import SupplyEntryTable, SupplyTable
from inventory.views.catalogue import enter
from nursery import charts
from nursery.http import go_to
from nursery.listing import list_page
from nursery.money import round_half_up
from nursery.once import Saved, saved_before
from nursery.templatetags.nursery_tags import each
from nursery.undo import offer_undo

MOST_BARS = 12


@require_safe
def supply_list(request: HttpRequest) -> HttpResponse:
    """Show every supply with what is there and what to order."""
    rows = supply_rows()
    context = {
        "place": "growing",
        "value": sum(row.value for row in rows),
        "low": [row for row in rows if row.is_low],
        "rows": rows,
    }
    return list_page(
        request,
        SupplyTable,
        rows,
        template="inventory/supply_list.html",
        context=context,
        export_name="supplies",
    )


@require_safe
def supply(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one supply: what is there, and its entries with what used them."""
    shown = get_object_or_404(Supply, pk=pk)
    context = {
        "place": "growing",
        "supply": shown,
        "row": rows_by_supply([shown])[shown.pk],
        "picture": price_picture(shown, purchases_of(shown)[-MOST_BARS:]),
    }
    return list_page(
        request,
        partial(SupplyEntryTable, unit=shown.get_unit_display()),
        entries_of_supply(shown),
        template="inventory/supply.html",
        context=context,
        export_name="supply-entries",
        prepare=tell_what_used_them,
    )


@require_safe
def supply_chart(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw what a unit of a supply cost at each purchase."""
    shown = get_object_or_404(Supply, pk=pk)
    bought = purchases_of(shown)[-MOST_BARS:]
    names = [f"{one.on:%b %y}" for one in bought]
    series = [charts.Series("price", [float(one.price) for one in bought])]

    def draw(axes):
        charts.columns(axes, names, series, lambda value: each(round_half_up(Fraction(value), 6)))

    return charts.svg_response(charts.svg(draw, *charts.size_asked(request, 220)))


@require_http_methods(["GET", "POST"])
def supply_add(request: HttpRequest) -> HttpResponse:
    """Add a supply."""
    form = SupplyForm(request.POST or None)
    return enter(
        request,
        form,
        write=lambda: supply_catalogue.add_supply(**form.what),
        said=lambda added: f"{added} is on the list.",
        to=lambda added: ("inventory:supply", added.pk),
        context={"heading": "Add a supply", "verb": "Add the supply"},
    )


@require_http_methods(["GET", "POST"])
def supply_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a supply."""
    row = get_object_or_404(Supply, pk=pk)
    form = SupplyForm(request.POST or None, supply=row)
    return enter(
        request,
        form,
        write=lambda: supply_catalogue.edit_supply(supply=row, **form.what),
        said=lambda saved: f"{saved} is saved.",
        to=lambda saved: ("inventory:supply", saved.pk),
        context={"heading": f"Change {row}", "verb": "Save the supply"},
    )


@require_http_methods(["GET", "POST"])
def supply_buy(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter a purchase."""
    row = get_object_or_404(Supply, pk=pk)
    form = BuyForm(request.POST or None, supply=row)
    return _entered(
        request,
        form,
        write=lambda: buy(**form.what, by=request.user),
        foresee=lambda: bought_sentence(row, form.bought, form.cleaned_data["amount"]),
        context={"heading": f"Buy {row}", "verb": "Enter the purchase"},
    )


@require_http_methods(["GET", "POST"])
def supply_count(request: HttpRequest, pk: int) -> HttpResponse:
    """Count a supply."""
    row = get_object_or_404(Supply, pk=pk)
    form = CountSupplyForm(request.POST or None, supply=row)
    return _entered(
        request,
        form,
        write=lambda: count_supply(**form.what, by=request.user),
        foresee=lambda: counted_sentence(row, form.cleaned_data["found"]),
        context={"heading": f"Count {row}", "verb": "Enter the count"},
    )


@require_POST
def supply_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a purchase or a count."""
    entry = get_object_or_404(SupplyEntry.objects.select_related("supply"), pk=pk)
    try:
        # One entry is undone once: the id follows from it, so a second press finds the first.
        undo_supply_entry(
            entry=entry, request_id=uuid5(NAMESPACE_URL, f"supply {pk}"), by=request.user
        )
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        tell_what_used_them([entry])
        messages.success(request, f"Undone: {entry.told}.")
    return go_to(request, "inventory:supply", entry.supply_id)


def saved_entry(request_id: UUID) -> Saved | None:
    """Return the purchase or the count that a request wrote."""
    entries = SupplyEntry.objects.select_related("supply", "reversed_by")
    entry = entries.filter(request_id=request_id).first()
    if entry is None:
        return None
    tell_what_used_them([entry])
    return Saved(
        f"{entry.supply}: {entry.told}.",
        reverse("inventory:supply", args=[entry.supply_id]),
        reverse("inventory:supply-undo", args=[entry.pk]),
        is_undone=is_undone(entry),
    )


def _entered(request, form, *, write, foresee, context):
    """Show the form, look ahead, or write, offer Undo and go to the supply."""
    if "preview" not in request.POST and (known := saved_before(request, form, saved_entry)):
        return known
    sentence = ""
    if form.is_bound and form.is_valid():
        if "preview" in request.POST:
            sentence = foresee()
        else:
            try:
                entry = write()
            except LedgerError as error:
                form.refuse(error)
            else:
                tell_what_used_them([entry])
                said = f"{entry.supply}: {entry.told}."
                offer_undo(request, said, reverse("inventory:supply-undo", args=[entry.pk]))
                return go_to(request, "inventory:supply", entry.supply_id)
    name = "_foresight.html" if request.htmx and "preview" in request.POST else "entry.html"
    context = {"form": form, "sentence": sentence, "place": "growing", **context}
    return render(request, f"inventory/{name}", context)
