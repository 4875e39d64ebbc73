"""A hold becomes a sale, all of it or a part."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.once import saved_before
from nursery.undo import offer_undo
from sales import operations
from sales.forms.hold_lines import HandOverForm
from sales.models import Hold
from sales.queries.certificates import exemption_trouble
from sales.queries.handing_over import foresee_hand_over
from sales.queries.holds import standing_of
from sales.queries.taxes import tax_on_day


@require_http_methods(["GET", "POST"])
def hand_over(request: HttpRequest, pk: int) -> HttpResponse:
    """Hand plants of a hold over and issue the invoice; the rest stays held."""
    found = get_object_or_404(Hold.objects.select_related("buyer__same_as"), pk=pk)
    today = timezone.localdate()
    standing = standing_of(found, today)
    form = HandOverForm(request.POST or None, standing=standing)
    looks_ahead = "preview" in request.POST
    if not looks_ahead and (known := saved_before(request, form)):
        return known
    if form.is_bound and form.is_valid() and not looks_ahead:
        try:
            document = operations.sell_held(hold=found, by=request.user, **form.sale())
        except LedgerError as error:
            form.refuse(error)
        else:
            undo = reverse("sales:undo-sale", args=[document.pk])
            offer_undo(request, f"Handed over to {found.buyer} on {document}.", undo)
            return go_to(request, "sales:document", document.pk)
    context = {
        "place": "sell",
        "hold": found,
        "standing": standing,
        "form": form,
        "foreseen": foresee_hand_over(standing, form.foreseen, today, form.deposit),
    }
    if tax_on_day(today).is_any:
        context["taxed_because"] = exemption_trouble(found.buyer.kept, today)
    name = "_hand_over_foresight" if looks_ahead and request.htmx else "hand_over"
    return render(request, f"sales/{name}.html", context)
