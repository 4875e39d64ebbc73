"""Lists of the growing side: what is where, lots, batches, plants, entries."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.forms.filters import BatchFilter, EntryFilter, LotFilter, PlantFilter
from inventory.own_time import counted_in
from inventory.queries import listed
from inventory.queries.entries import entries_of, operations
from inventory.queries.strikes import strikes
from inventory.tables.batches import BatchTable
from inventory.tables.entries import EntryTable
from inventory.tables.lots import LotTable
from inventory.tables.plants import PlantTable
from nursery.listing import list_page

PLACE = {"place": "growing"}
# A file has all the rows; they are looked up in parts that any database takes.
AT_ONCE = 500
BEGINNINGS = (
    ("stick", "Stick cuttings"),
    ("sow", "Sow seed"),
    ("divide", "Divide plants"),
    ("receive", "Receive liners"),
    ("opening", "Enter what already stands here"),
)


@require_safe
def growing(request: HttpRequest) -> HttpResponse:
    """Show how many plants stand in which container, and where."""
    context = {
        "containers": listed.by_container(),
        "standing": listed.by_place(),
        "sum": listed.summed(listed.listed_lots(), counted_in(request)),
        "beginnings": BEGINNINGS,
    }
    return render(request, "inventory/growing.html", PLACE | context)


@require_safe
def lot_list(request: HttpRequest) -> HttpResponse:
    """List the lots."""
    counted = counted_in(request)
    return list_page(
        request,
        LotTable,
        listed.listed_lots(counted),
        template="inventory/lot_list.html",
        filterset=LotFilter,
        context=lambda lots: PLACE | {"sum": listed.summed(lots, counted)},
        export_name="lots",
    )


@require_safe
def batch_list(request: HttpRequest) -> HttpResponse:
    """List the batches with their strike."""
    return list_page(
        request,
        BatchTable,
        listed.listed_batches(),
        template="inventory/batch_list.html",
        filterset=BatchFilter,
        context=PLACE,
        export_name="batches",
        prepare=attach_strikes,
    )


@require_safe
def plant_list(request: HttpRequest) -> HttpResponse:
    """List the kinds of plants."""
    return list_page(
        request,
        PlantTable,
        listed.listed_plants(),
        template="inventory/plant_list.html",
        filterset=PlantFilter,
        context=PLACE,
        export_name="plants",
    )


@require_safe
def entry_list(request: HttpRequest) -> HttpResponse:
    """List every entry, newest first."""
    return list_page(
        request,
        EntryTable,
        operations(),
        template="inventory/entry_list.html",
        filterset=EntryFilter,
        context=PLACE,
        export_name="entries",
        prepare=attach_entries,
    )


def attach_strikes(batches: list) -> None:
    """Look up the strike of the batches that are shown."""
    found = strikes([batch.pk for batch in batches])
    for batch in batches:
        batch.strike = found[batch.pk]


def attach_entries(shown: list) -> None:
    """Look up what the operations that are shown did."""
    for start in range(0, len(shown), AT_ONCE):
        for entry in entries_of(shown[start : start + AT_ONCE]):
            entry.operation.entry = entry
