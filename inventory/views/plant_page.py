"""The page of a plant: its cautions, what is on hand, its lots and batches."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from inventory.models import Plant
from inventory.own_time import counted_in
from inventory.queries import listed
from inventory.queries.photos import photos_of
from inventory.tables.lots import OnePlantLotTable
from inventory.views.lists import attach_strikes
from nursery.listing import list_page

SHOWN_BATCHES = 12


@require_safe
def plant(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one plant with its lots that hold plants."""
    shown = get_object_or_404(Plant, pk=pk)
    batches = list(listed.listed_batches().filter(plant=shown)[: SHOWN_BATCHES + 1])
    attach_strikes(batches)
    counted = counted_in(request)
    lots = listed.listed_lots(counted).filter(plant=shown)
    context = {
        "place": "growing",
        "plant": shown,
        "photos": photos_of(plant=shown),
        "batches": batches[:SHOWN_BATCHES],
        "more_batches": len(batches) > SHOWN_BATCHES,
        "containers": listed.by_container(shown),
        "sum": listed.summed(lots, counted),
        "stock_plants": shown.stock_plants.select_related("place"),
    }
    return list_page(
        request,
        OnePlantLotTable,
        lots.filter(balance__on_hand__gt=0),
        template="inventory/plant.html",
        context=context,
        export_name=f"lots-{shown.pk}",
    )
