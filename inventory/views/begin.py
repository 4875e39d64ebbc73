"""The pages where plants begin."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from inventory.forms.begin import BeginForm
from inventory.models import Batch, Lot, Plant
from inventory.operations.catalogue import begin_named
from inventory.queries.preview import begin_sentence
from inventory.views.entering import Page, answer, may_enter, with_number

HEADINGS = {
    "stick": "Stick cuttings",
    "sow": "Sow seed",
    "divide": "Divide plants",
    "receive": "Receive liners",
    "opening": "Enter stock you have already",
}
EXPLAINS = {
    "stick": ("stick", "batch", "lot"),
    "sow": ("batch", "lot"),
    "divide": ("batch", "lot"),
    "receive": ("liner", "batch", "lot"),
    "opening": ("opening stock", "lot"),
}
VERBS = {
    "stick": "Stick",
    "sow": "Sow",
    "divide": "Divide into",
    "receive": "Receive",
    "opening": "Enter",
}


@require_http_methods(["GET", "POST"])
@may_enter
def begin(request: HttpRequest, kind: str) -> HttpResponse:
    """Begin a batch."""
    if kind not in HEADINGS:
        raise Http404
    form = BeginForm(request.POST or None, kind=kind, initial=_known(request))
    page = Page(
        heading=HEADINGS[kind],
        verb=lambda: with_number(VERBS[kind], form, "quantity"),
        foresee=lambda: _foresee(form),
        write=lambda: begin_named(**form.what, by=request.user),
        said=_said,
        to=lambda operation: ("inventory:lot", _begun(operation).to_lot_id),
        context={"kinds": Batch.Kind.choices, "kind": kind, "explains": EXPLAINS[kind]},
    )
    return answer(request, form, page)


def _known(request):
    """Return what a page sent along to begin with: the plant, how many, in what."""
    found = {}
    key, container = request.GET.get("plant", ""), request.GET.get("container", "")
    if key.isdecimal() and (plant := Plant.objects.filter(pk=key).first()):
        found["plant"] = plant.name
    if container.isdecimal():
        found["container"] = container
    if (quantity := request.GET.get("quantity", "")).isdecimal():
        found["quantity"] = quantity
    return found


def _foresee(form):
    what = form.what
    named = ("quantity", "container", "batch", "lot")
    costs = form.costs_foreseen
    return begin_sentence(**{name: what[name] for name in named}, costs=costs, caution=form.caution)


def _said(operation):
    begun = _begun(operation)
    lot = Lot.objects.select_related("plant").get(pk=begun.to_lot_id)
    return (
        f"{begun.quantity} {lot.plant}: {operation.get_kind_display()}, "
        f"batch {begun.batch}, lot {lot}."
    )


def _begun(operation):
    return operation.movements.select_related("batch").get()
