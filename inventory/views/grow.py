"""Pages for plants that go on growing: pot up, move, blend."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory import operations
from inventory.forms.grow import BlendForm, MoveForm, PotUpForm
from inventory.models import Movement
from inventory.operations.lose import Loss, planned_split
from inventory.queries import preview
from inventory.queries.on_hand import on_hand_on, plants_in
from inventory.views.entering import Page, answer, lot_to_enter, with_number


@require_http_methods(["GET", "POST"])
def pot_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Pot up some or all of a lot."""
    lot = lot_to_enter(pk)
    # From the work list, all of the lot is meant.
    whole = {"quantity": lot.balance.on_hand} if "step" in request.GET else {}
    form = PotUpForm(request.POST or None, lot=lot, initial=whole)
    page = Page(
        heading=f"Pot up from {lot}",
        verb=lambda: with_number("Pot up", form, "quantity"),
        foresee=lambda: _foresee_potting(form),
        write=lambda: operations.pot_up(**form.what, by=request.user),
        said=_said_potted,
        to=lambda operation: ("inventory:lot", _moved(operation).to_lot_id),
        context={"lot": lot, "explains": ("pot up", "expected loss")},
    )
    return answer(request, form, page)


@require_http_methods(["GET", "POST"])
def move(request: HttpRequest, pk: int) -> HttpResponse:
    """Move a lot, or a part of it, to another place."""
    lot = lot_to_enter(pk)
    form = MoveForm(request.POST or None, lot=lot)
    page = Page(
        heading=f"Move lot {lot}",
        verb=lambda: with_number("Move", form, "quantity"),
        foresee=lambda: _foresee_moving(form),
        write=lambda: operations.move(**_moving(form), by=request.user),
        said=lambda _: (
            f"Moved {form.cleaned_data['quantity'] or 'all'} of lot {lot} to "
            f"{form.cleaned_data['place']}."
        ),
        to=lambda _: ("inventory:lot", lot.pk),
        # Where a part moved, its entry alone would lead to the new lot.
        after=reverse("inventory:lot", args=[lot.pk]),
        context={"lot": lot},
    )
    return answer(request, form, page)


@require_http_methods(["GET", "POST"])
def blend(request: HttpRequest, pk: int) -> HttpResponse:
    """Join all of a lot to another."""
    lot = lot_to_enter(pk)
    form = BlendForm(request.POST or None, lot=lot)
    page = Page(
        heading=f"Blend lot {lot} into another",
        verb="Blend the lots",
        foresee=lambda: preview.blend_sentence(
            lot, form.cleaned_data["to_lot"], form.cleaned_data["on"]
        ),
        write=lambda: operations.blend(**form.what, by=request.user),
        said=lambda _: f"Lot {lot} joined lot {form.cleaned_data['to_lot']}.",
        to=lambda _: ("inventory:lot", form.cleaned_data["to_lot"].pk),
        context={
            "lot": lot,
            "nothing_alike": not form.fields["to_lot"].choices,
            "explains": ("blend",),
        },
    )
    return answer(request, form, page)


def _foresee_potting(form):
    what = form.what
    loss = Loss(form.lot, what["lost"], what["cause"], what["treatment"])
    held = on_hand_on(form.lot, what["on"])
    return preview.pot_up_sentence(
        form.lot,
        on=what["on"],
        quantity=what["quantity"],
        container=what["container"],
        costs=form.costs_foreseen,
        split=planned_split(loss, what["on"]) if 0 < loss.quantity <= held else (loss.quantity, 0),
        to_lot=what["to_lot"],
    )


def _foresee_moving(form):
    what = _moving(form)
    named = ("on", "quantity", "place", "to_lot")
    return preview.move_sentence(form.lot, **{name: what[name] for name in named})


def _moving(form):
    return form.what_of(on_hand_on(form.lot, form.cleaned_data["on"]))


def _said_potted(operation):
    moved = _moved(operation)
    lost = plants_in(operation.movements.exclude(pk=moved.pk))
    on_the_way = f" {lost} were lost on the way." if lost else ""
    return (
        f"Potted up {moved.quantity} of lot {moved.from_lot} into {moved.to_lot.container}, "
        f"lot {moved.to_lot}.{on_the_way}"
    )


def _moved(operation):
    rows = operation.movements.select_related("from_lot", "to_lot__container")
    return rows.get(kind=Movement.Kind.MOVED)
