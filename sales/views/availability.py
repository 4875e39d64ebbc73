"""The availability list: which plants are free to sell."""

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from inventory.models import Container
from nursery.listing import MOST_ROWS, list_page
from sales.queries.availability import availability as free_plants
from sales.queries.availability import free_now
from sales.queries.free_lots import with_lots
from sales.tables.availability import AvailabilityTable


@require_safe
def availability(request: HttpRequest) -> HttpResponse:
    """Show what is free to sell, of one container or all, by part of a plant's name."""
    container = request.GET.get("container", "")
    wanted = request.GET.get("plant", "")
    lines = free_plants(container=container, plant=wanted, by_size=True)
    return list_page(
        request,
        AvailabilityTable,
        with_lots(lines),
        template="sales/availability.html",
        context={
            "place": "sell",
            "containers": Container.objects.filter(kind="sale", in_use=True),
            "container": container,
            "wanted": wanted,
            "plants": sum(line.available for line in free_now(lines)),
            "coming": sum(line.available for line in lines if line.ready_on),
            "kinds": len({line.plant.pk for line in lines}),
            "unpriced": sum(line.price is None for line in lines),
            "today": date.today(),
            "every_row": MOST_ROWS,
            "is_whole": request.GET.get("per_page") == str(MOST_ROWS),
        },
        export_name="availability",
    )
