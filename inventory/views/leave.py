"""Pages for plants that leave without a sale, and for money that joins a lot."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from inventory import operations
from inventory.forms.leave import AddCostForm, TakeOutForm
from inventory.queries import preview
from inventory.views.entering import Page, answer, lot_to_enter, with_number
from nursery.templatetags.nursery_tags import money

HEADINGS = {"use": "Use plants of lot {}", "give": "Give away plants of lot {}"}
VERBS = {"use": "Use", "give": "Give away"}
DONE = {"use": "Used", "give": "Gave away"}


@require_http_methods(["GET", "POST"])
def take_out(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Use plants on the place, or give them away."""
    if kind not in VERBS:
        raise Http404
    lot = lot_to_enter(pk)
    form = TakeOutForm(request.POST or None, lot=lot)
    page = Page(
        heading=HEADINGS[kind].format(lot),
        verb=lambda: with_number(VERBS[kind], form, "quantity"),
        foresee=lambda: preview.take_out_sentence(
            lot, on=form.cleaned_data["on"], quantity=form.cleaned_data["quantity"]
        ),
        write=lambda: operations.take_out(kind=kind, **form.what, by=request.user),
        said=lambda _: f"{DONE[kind]} {form.cleaned_data['quantity']} of lot {lot}.",
        to=lambda _: ("inventory:lot", lot.pk),
        context={"lot": lot},
    )
    return answer(request, form, page)


@require_http_methods(["GET", "POST"])
def add_cost(request: HttpRequest, pk: int) -> HttpResponse:
    """Add money to what a lot has cost."""
    lot = lot_to_enter(pk)
    # From the work list it is a feeding.
    fed = {"category": "feed"} if "step" in request.GET else {}
    form = AddCostForm(request.POST or None, lot=lot, initial=fed)
    page = Page(
        heading=f"Add a cost to lot {lot}",
        verb="Add the cost",
        foresee=lambda: preview.add_cost_sentence(
            lot, on=form.cleaned_data["on"], amount=sum(form.costs_foreseen.values())
        ),
        write=lambda: operations.add_cost(**form.what, by=request.user),
        said=lambda done: f"Added {money(_money_of(done))} to lot {lot}.",
        to=lambda _: ("inventory:lot", lot.pk),
        context={"lot": lot},
    )
    return answer(request, form, page)


def _money_of(operation):
    return sum(row.amount for row in operation.costs.all())
