"""The books: the year at a glance, and the proof that it adds up."""

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.own_time import counted_by_default
from inventory.queries.conservation import conservation as where_all_is
from inventory.queries.loss_sums import all_together
from inventory.queries.losses import losses
from sales.forms.period import DayForm
from sales.queries.margin import margin_of_all


@require_safe
def books(request: HttpRequest) -> HttpResponse:
    """Show the year in four figures, and the way to each page of the books."""
    first, counted = date.today().replace(month=1, day=1), counted_by_default()
    context = {
        "place": "books",
        "first": first,
        "sales": margin_of_all(since=first, counted=counted),
        "lost": all_together(losses(since=first, counted=counted)),
        "flow": where_all_is(),
    }
    return render(request, "sales/books.html", context)


@require_safe
def conservation(request: HttpRequest) -> HttpResponse:
    """Show where every plant and every cost is, and that nothing is missing."""
    form = DayForm(request.GET)
    context = {
        "place": "books",
        "form": form,
        "day": form.day or date.today(),
        "all": where_all_is(form.day),
    }
    return render(request, "sales/conservation.html", context)
