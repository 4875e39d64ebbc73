"""The page of a batch: how many struck, where its plants are now, and its account."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from inventory.models import Batch
from inventory.queries.batch_account import account_of
from inventory.queries.survival import whereabouts
from inventory.views.batch_pictures import pictures_of


@require_safe
def batch(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one batch."""
    shown = get_object_or_404(Batch.objects.select_related("plant", "stock_plant"), pk=pk)
    account = account_of(shown)
    where = whereabouts(shown)
    context = {
        "place": "growing",
        "batch": shown,
        "strike": account.strike,
        "where": where,
        "still_here": where.on_hand,
        "account": account,
        "pictures": pictures_of(account),
        "is_rooted": shown.kind in (Batch.Kind.STICK, Batch.Kind.SOW, Batch.Kind.DIVIDE),
    }
    return render(request, "inventory/batch.html", context)
