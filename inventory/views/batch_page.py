"""The page of a batch: how many struck, and where its plants are now."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from inventory.models import Batch
from inventory.queries.survival import strikes, whereabouts


@require_safe
def batch(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one batch."""
    shown = get_object_or_404(Batch.objects.select_related("plant", "stock_plant"), pk=pk)
    context = {
        "place": "growing",
        "batch": shown,
        "strike": strikes([shown.pk])[shown.pk],
        "where": whereabouts(shown),
        "is_rooted": shown.kind in (Batch.Kind.STICK, Batch.Kind.SOW, Batch.Kind.DIVIDE),
    }
    return render(request, "inventory/batch.html", context)
