"""Measure the plants of a lot and part it by size."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory import operations
from inventory.forms.measure import MeasureForm
from inventory.queries import preview
from inventory.queries.entries import describe
from inventory.views.entering import Page, answer, lot_to_enter


@require_http_methods(["GET", "POST"])
def measure(request: HttpRequest, pk: int) -> HttpResponse:
    """Say how many plants are of which height or spread."""
    lot = lot_to_enter(pk)
    form = MeasureForm(request.POST or None, lot=lot)
    page = Page(
        heading=form.heading,
        verb=lambda: _verb(form),
        foresee=lambda: preview.measure_sentence(lot, form.sizes, form.cleaned_data["on"]),
        write=lambda: operations.measure_lot(**form.what, by=request.user),
        said=lambda operation: f"{describe(operation)}.",
        to=lambda _: ("inventory:lot", pk),
        after=reverse("inventory:lot", args=[pk]),
        context={"lot": lot},
        template="measure.html",
    )
    return answer(request, form, page)


def _verb(form):
    number = sum(one.quantity for one in form.sizes) if form.is_bound and form.is_valid() else 0
    return f"Measure {number}" if number else "Measure"
