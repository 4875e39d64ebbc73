"""The work list, and the page on which a step of a batch is ticked."""

from datetime import date
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.forms.methods import TickForm
from inventory.models import Batch, MethodStep, StepDone
from inventory.operations import steps as operations
from inventory.queries.batch_steps import pairs_named, steps_of
from inventory.queries.work_list import Week, work_list
from nursery.context import current_nursery
from nursery.http import go_to
from nursery.numbers import is_number
from nursery.undo import offer_undo

Work = MethodStep.Work
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
def batch_step(request: HttpRequest, pk: int, step: int) -> HttpResponse:
    """Show one step of a batch and where it is entered; tick it, or leave it out."""
    row = _row(pk, step)
    form = TickForm(request.POST or None)
    if form.is_valid():
        try:
            done = [_tick(request, row, form)]
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
def steps_done(request: HttpRequest) -> HttpResponse:
    """Tick steps as done today, with one tap: one of a batch, or the same of several."""
    form = TickForm(request.POST)
    named = list(pairs_named(request.POST.getlist("step")))
    if not form.is_valid() or not named:
        return go_to(request, "inventory:works")
    typed = {name: form.cleaned_data[name] for name in ("on", "request_id")}
    try:
        done = operations.tick_steps(steps=named, **typed, by=request.user)
    except LedgerError as error:
        messages.error(request, str(error))
        return go_to(request, "inventory:works")
    return _ticked(request, done)


@require_POST
def steps_undo(request: HttpRequest) -> HttpResponse:
    """Undo what was done or left out: ?done=1&done=2."""
    keys = [key for key in request.GET.getlist("done") if is_number(key)]
    done = list(StepDone.objects.filter(pk__in=keys).select_related("batch", "step"))
    if not done:
        raise Http404
    try:
        operations.untick_steps(done=done, by=request.user)
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Undone. {_words(done)} to be done again.")
    if len(done) == 1:
        return go_to(request, "inventory:batch-step", done[0].batch_id, done[0].step_id)
    return go_to(request, "inventory:works")


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
    if done:
        query = urlencode([("done", row.pk) for row in done])
        said = f"{_words(done)} {done[0].get_kind_display()}."
        offer_undo(request, said, f"{reverse('inventory:steps-undo')}?{query}")
    else:
        messages.info(request, "That was done already.")
    return go_to(request, "inventory:works")


def _words(done):
    if len(done) == 1:
        return f"{done[0].batch}: “{done[0].what}”"
    return f"“{done[0].what}” for {len(done)} batches"
