"""The work list, and the page on which a step of a batch is ticked."""

from datetime import date
from uuid import NAMESPACE_OID, uuid5

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.forms.methods import TickForm
from inventory.models import Batch, MethodStep, StepDone
from inventory.operations import steps as operations
from inventory.queries.batch_steps import steps_of
from inventory.queries.work_list import Week, work_list
from nursery.context import current_nursery
from nursery.http import go_to
from nursery.undo import offer_undo

Work = MethodStep.Work
may_tick = permission_required("inventory.add_stepdone", raise_exception=True)
WEEKS = (2, 4, 8, 16)
# Where each kind of work is entered, lot by lot; what is not here is only ticked.
ENTERED_AT = {
    Work.ROOT_COUNT: ("inventory:root-count", "Count"),
    Work.POT_UP: ("inventory:pot-up", "Pot up"),
    Work.HEAT_ON: ("inventory:move", "Move"),
    Work.HEAT_OFF: ("inventory:move", "Move"),
    Work.HARDEN: ("inventory:move", "Move"),
    Work.COVER: ("inventory:move", "Move"),
    Work.UNCOVER: ("inventory:move", "Move"),
    Work.FEED: ("inventory:add-cost", "Enter the feed"),
    Work.TOP_DRESS: ("inventory:add-cost", "Enter the feed"),
    Work.READY: ("inventory:ready-on", "Say when ready"),
}


@require_safe
def works(request: HttpRequest) -> HttpResponse:
    """Show what is overdue, due and coming, by place."""
    asked = request.GET.get("weeks", "")
    weeks = int(asked) if asked in map(str, WEEKS) else 4
    on = date.today()
    context = {
        "place": "growing",
        "work": work_list(on, current_nursery(), weeks=weeks),
        "week": Week.of(on),
        "weeks": weeks,
        "choices": WEEKS,
        "on": on,
    }
    return render(request, "inventory/work_list.html", context)


@require_http_methods(["GET", "POST"])
@may_tick
def batch_step(request: HttpRequest, pk: int, step: int) -> HttpResponse:
    """Show one step of a batch and where it is entered; tick it, or leave it out."""
    row = _row(pk, step)
    form = TickForm(request.POST or None)
    if form.is_valid():
        try:
            done = _tick(request, row, form)
        except LedgerError as error:
            form.refuse(error)
        else:
            return _ticked(request, done)
    context = {
        "place": "growing",
        "row": row,
        "form": form,
        "entering": ENTERED_AT.get(row.step.work),
        "lots": row.lots,
        "query": f"?step={row.batch.pk}-{row.step.pk}",
    }
    return render(request, "inventory/batch_step.html", context)


@require_POST
@may_tick
def step_done(request: HttpRequest, pk: int, step: int) -> HttpResponse:
    """Tick a step as done today, with one tap."""
    batch = get_object_or_404(Batch, pk=pk)
    what = get_object_or_404(MethodStep, pk=step)
    form = TickForm(request.POST)
    if not form.is_valid():
        return go_to(request, "inventory:batch-step", pk, step)
    try:
        done = operations.tick_step(
            batch=batch,
            step=what,
            on=form.cleaned_data["on"],
            request_id=form.cleaned_data["request_id"],
            by=request.user,
        )
    except LedgerError as error:
        messages.error(request, str(error))
        return go_to(request, "inventory:works")
    return _ticked(request, done)


@require_POST
@may_tick
def step_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo that a step was done or left out."""
    done = get_object_or_404(StepDone.objects.select_related("batch", "step"), pk=pk)
    # A second press of the same button is the same request.
    request_id = uuid5(NAMESPACE_OID, f"undo step {done.request_id}")
    try:
        operations.untick_step(done=done, request_id=request_id, by=request.user)
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Undone. “{done.what}” is to be done for {done.batch}.")
    return go_to(request, "inventory:batch-step", done.batch_id, done.step_id)


def _row(pk, step):
    batch = get_object_or_404(Batch.objects.select_related("plant", "method"), pk=pk)
    rows = steps_of(batch, date.today(), current_nursery())
    for row in rows:
        if row.step.pk == step:
            return row
    raise Http404


def _tick(request, row, form):
    typed = form.cleaned_data
    is_left_out = "leave_out" in request.POST
    if is_left_out and not typed["reason"]:
        raise LedgerError("Say why it is left out: rooted early, too wet, sold.", field="reason")
    return operations.tick_step(
        batch=row.batch,
        step=row.step,
        on=typed["on"],
        skipped_for=typed["reason"] if is_left_out else "",
        request_id=typed["request_id"],
        by=request.user,
    )


def _ticked(request, done):
    said = f"{done.batch}: “{done.what}” {done.get_kind_display()}."
    offer_undo(request, said, reverse("inventory:step-undo", args=[done.pk]))
    return go_to(request, "inventory:works")
