"""The page of a batch: how many struck, where its plants are now, and its account."""

from datetime import date
from fractions import Fraction

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from inventory.forms.batch import BatchForm
from inventory.forms.catalogue import SQUARE_METRES_IN_SQUARE_FOOT
from inventory.models import Batch, Nursery
from inventory.operations.steps import say_how_raised
from inventory.own_time import counted_in
from inventory.queries.batch_account import BatchAccount, account_of
from inventory.queries.batch_steps import steps_of
from inventory.queries.whereabouts import whereabouts
from inventory.views.batch_pictures import pictures_of
from inventory.views.catalogue import enter
from nursery.context import current_nursery


@require_safe
def batch(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one batch."""
    related = ("plant", "stock_plant", "method", "taken_by")
    shown = get_object_or_404(Batch.objects.select_related(*related), pk=pk)
    counted = counted_in(request)
    account = account_of(shown, counted)
    where = whereabouts(shown, counted)
    context = {
        "place": "growing",
        "batch": shown,
        "strike": account.strike,
        "where": where,
        "still_here": where.on_hand,
        "account": account,
        **_earned_by_area(account),
        "pictures": pictures_of(account, counted),
        "steps": steps_of(shown, date.today(), current_nursery()),
        "is_rooted": shown.kind in (Batch.Kind.STICK, Batch.Kind.SOW, Batch.Kind.DIVIDE),
    }
    return render(request, "inventory/batch.html", context)


@require_http_methods(["GET", "POST"])
def batch_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Say how a batch is raised and was treated."""
    shown = get_object_or_404(Batch.objects.select_related("plant", "method"), pk=pk)
    form = BatchForm(request.POST or None, batch=shown)
    return enter(
        request,
        form,
        write=lambda: say_how_raised(batch=shown, **form.what),
        said=lambda batch: f"Batch {batch} is saved.",
        to=lambda batch: ("inventory:batch", batch.pk),
        context={"heading": f"How is batch {shown} raised?", "verb": "Save it"},
    )


def _earned_by_area(account: BatchAccount) -> dict:
    """Return what the ground earned in a year, by the square foot where a nursery speaks so."""
    earned = account.per_square_metre_year
    if current_nursery().units != Nursery.Units.US or earned is None:
        return {"earned_by_area": earned, "area_words": "A square metre in a year"}
    by_foot = earned * Fraction(SQUARE_METRES_IN_SQUARE_FOOT)
    return {"earned_by_area": by_foot, "area_words": "A square foot in a year"}
