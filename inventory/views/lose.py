"""Pages for plants found dead, or found at all: rooted count, and count."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from inventory import operations
from inventory.forms.lose import CountForm, RootCountForm
from inventory.operations.lose import Loss, planned_split
from inventory.queries import preview
from inventory.queries.on_hand import on_hand_on
from inventory.views.entering import Page, answer, lot_to_enter


@require_http_methods(["GET", "POST"])
def root_count(request: HttpRequest, pk: int) -> HttpResponse:
    """Count what has rooted."""
    lot = lot_to_enter(pk)
    form = RootCountForm(request.POST or None, lot=lot)
    page = Page(
        heading=f"Count what has rooted in {lot}",
        verb="Save the count",
        foresee=lambda: _foresee(form, preview.root_count_sentence),
        write=lambda: operations.root_count(**form.what, by=request.user),
        said=lambda _: f"{form.cleaned_data['alive']} rooted in lot {lot}.",
        to=lambda _: ("inventory:lot", lot.pk),
        context={"lot": lot, "explains": ("rooted count", "strike", "expected loss")},
    )
    return answer(request, form, page)


@require_http_methods(["GET", "POST"])
def count(request: HttpRequest, pk: int) -> HttpResponse:
    """Count a lot."""
    lot = lot_to_enter(pk)
    form = CountForm(request.POST or None, lot=lot)
    page = Page(
        heading=f"Count lot {lot}",
        verb="Save the count",
        foresee=lambda: _foresee(form, preview.count_sentence),
        write=lambda: operations.count(**form.what, by=request.user),
        said=lambda _: f"{form.cleaned_data['found']} counted in lot {lot}.",
        to=lambda _: ("inventory:lot", lot.pk),
        context={"lot": lot, "explains": ("count", "expected loss")},
    )
    return answer(request, form, page)


def _foresee(form, sentence):
    data = form.cleaned_data
    counted = data[form.counted]
    missing = max(on_hand_on(form.lot, data["on"]) - counted, 0)
    loss = Loss(form.lot, missing, data["cause"], data["treatment"])
    split = planned_split(loss, data["on"]) if missing else (0, 0)
    return sentence(form.lot, on=data["on"], split=split, **{form.counted: counted})
