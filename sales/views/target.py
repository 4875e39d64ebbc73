"""One target: how many to stick and when, stage by stage, and what that takes and earns."""

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from inventory.models import Target
from sales.forms.what_if import WhatIfForm
from sales.queries.target_page import target_page
from sales.rights_of_pages import PRICES


@require_safe
def target(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a target, as it stands or as if more came through or sold for more."""
    rows = Target.objects.select_related("plant", "container")
    shown = get_object_or_404(rows, pk=pk)
    form = WhatIfForm(request.GET)
    if not request.user.has_perm(PRICES):
        del form.fields["price"]
    page = target_page(shown, date.today(), form.share, form.price_asked)
    context = {
        "place": "growing",
        "target": shown,
        "page": page,
        "plan": page.plan,
        "answer": page.plan.answer,
        "is_to_stick": page.plan.is_to_stick,
        "form": form,
        "is_what_if": form.share is not None or form.price_asked is not None,
    }
    return render(request, "sales/target.html", context)
