"""The pages where plants begin."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from inventory.forms.begin import BeginForm
from inventory.models import Batch, Lot, MethodStep, Plant
from inventory.operations.catalogue import begin_named
from inventory.queries.due_steps import landmarks_of
from inventory.queries.preview import begin_sentence
from inventory.timing import windows
from inventory.views.entering import Page, answer, with_number
from nursery.context import current_nursery
from nursery.numbers import is_number

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
    """Return what a page sent along to begin with: the plant, method, number, container."""
    found = {}
    key = request.GET.get("plant", "")
    if is_number(key) and (plant := Plant.objects.filter(pk=key).first()):
        found["plant"] = plant.name
    for name in ("container", "quantity", "method"):
        if is_number(sent := request.GET.get(name, "")):
            found[name] = sent
    return found


def _foresee(form):
    what = form.what
    named = ("quantity", "container", "batch", "lot")
    sentence = begin_sentence(
        **{name: what[name] for name in named}, costs=form.costs_foreseen, caution=form.caution
    )
    return " ".join(filter(None, (sentence, _foresee_method(form))))


def _foresee_method(form):
    """Say by which method, and what comes next by it."""
    method = form.how.method
    if method is None:
        return ""
    steps = method.steps.filter(is_removed=False).exclude(work=MethodStep.Work.STICK)
    times = windows(steps, form.cleaned_data["on"], landmarks_of(current_nursery()))
    coming = sorted(
        (times[step.pk].first, step.name) for step in steps if times[step.pk] is not None
    )
    next_up = f" Next: {coming[0][1]}, from {coming[0][0]:%d %B %Y}." if coming else ""
    return f"By the method {method}: {form.how.in_words}.{next_up}"


def _said(operation):
    begun = _begun(operation)
    lot = Lot.objects.select_related("plant").get(pk=begun.to_lot_id)
    return (
        f"{begun.quantity} {lot.plant}: {operation.get_kind_display()}, "
        f"batch {begun.batch}, lot {lot}."
    )


def _begun(operation):
    return operation.movements.select_related("batch").get()
