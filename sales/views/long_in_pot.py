"""Plants that have stood long in the same pot, and what could be done with them."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from sales.forms.long_in_pot import LongInPotForm
from sales.queries.long_in_pot import long_in_pot

PER_PAGE = 25


@require_safe
def long_in_pot_page(request: HttpRequest) -> HttpResponse:
    """Show each lot that is long in its pot: selling on, shifting up, marking down, discarding."""
    form = LongInPotForm(request.GET)
    rows = long_in_pot(timezone.localdate(), form.months)
    context = {
        "place": "books",
        "form": form,
        "months": form.months,
        "plants": sum(row.on_hand for row in rows),
        "cost": sum(row.cost for row in rows),
        "holding": sum(row.holding for row in rows),
        "page": Paginator(rows, PER_PAGE).get_page(request.GET.get("page")),
    }
    return render(request, "sales/long_in_pot.html", context)
