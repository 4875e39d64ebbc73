"""The page of one use of a supply: what it cost, and the purchases behind its price."""

from fractions import Fraction

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from inventory.models import SupplyEntry
from inventory.queries.supply_page import is_undone, tell_what_used_them
from inventory.queries.supply_use import price_behind


@require_safe
def supply_use(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one use of a supply down to the purchases behind its price."""
    uses = SupplyEntry.objects.filter(kind=SupplyEntry.Kind.USED)
    use = get_object_or_404(uses.select_related("supply", "operation", "reversed_by"), pk=pk)
    tell_what_used_them([use])
    context = {
        "place": "growing",
        "use": use,
        "supply": use.supply,
        "quantity": -use.quantity,
        "cost": -use.amount,
        "price": Fraction(use.amount) / Fraction(use.quantity) if use.quantity else None,
        "behind": price_behind(use),
        "is_undone": is_undone(use),
    }
    return render(request, "inventory/supply_use.html", context)
