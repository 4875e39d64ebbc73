"""The page that a label's code leads to."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from inventory.queries.search import lot_with_code
from sales.queries.prices import PriceBook
from sales.queries.stand import lots_to_choose


@require_safe
def scanned(request: HttpRequest, code: str) -> HttpResponse:
    """Offer the plant of a scanned label for sale; who may not sell sees the lot's page.

    A code that no lot has is looked for, so that the person sees what comes near it.
    """
    lot = lot_with_code(code)
    if lot is None:
        return redirect(f"{reverse('inventory:search')}?{urlencode({'q': code})}")
    if not request.user.has_perm("sales.add_document"):
        return redirect("inventory:lot", lot.pk)
    key = (lot.plant_id, lot.container_id)
    free = next((one.free for one in lots_to_choose([key])[key] if one == lot), 0)
    price = PriceBook(timezone.localdate(), [lot.plant_id]).amount(*key, grade=lot.grade)
    context = {"place": "sell", "lot": lot, "free": free, "price": price}
    return render(request, "sales/scanned.html", context)
