"""Stand days: the list, one of them, and each step at it."""

from uuid import NAMESPACE_URL, UUID, uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.queries.search import lot_with_code
from nursery.http import go_to
from nursery.numbers import is_number
from nursery.once import NAME, Saved, saved_before
from nursery.undo import offer_undo
from sales import operations
from sales.forms.stand import CloseStandForm, LotsForm, MoneyForm, OpenStandForm
from sales.models import StandDay, StandStep
from sales.operations.stand_closing import preview_closing
from sales.queries.put_out import put_out_on
from sales.queries.stand_day import figures_of
from sales.queries.stand_page import (
    documents_of,
    last_day,
    left_on,
    lots_to_put_out,
    step_words,
    steps_of,
)

MOST_DOCUMENTS = 8


@require_safe
def stand_day(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one day: the box, the plants, the sales, and what was done."""
    day = _day(pk)
    documents = documents_of(day)
    context = {
        "place": "sell",
        "day": day,
        "figures": figures_of(day),
        "out": put_out_on(day),
        "steps": steps_of(day),
        "documents": documents[:MOST_DOCUMENTS],
        "more": max(0, len(documents) - MOST_DOCUMENTS),
        "is_today": day.date == timezone.localdate(),
    }
    return render(request, "sales/stand_day.html", context)


@require_http_methods(["GET", "POST"])
def stand_open(request: HttpRequest) -> HttpResponse:
    """Open a stand, as the last one or anew."""
    after = request.GET.get("after", "")
    last = _day(int(after)) if is_number(after) else last_day()
    left = left_on(last) if is_number(after) else {}
    form = OpenStandForm(request.POST or None, last=last, left=left)
    if known := saved_before(request, form, saved_step):
        return known
    if form.is_valid():
        try:
            day = operations.open_stand(by=request.user, **form.opening())
        except LedgerError as error:
            form.refuse(error)
        else:
            return _said(request, day.steps.first(), day)
    return render(request, "sales/stand_open.html", {"place": "sell", "form": form})


@require_http_methods(["GET", "POST"])
def stand_put_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Put plants out: choose lots from the list, or type or scan their code."""
    day = _day(pk)
    if request.method == "POST" and "find" in request.POST and "save" not in request.POST:
        return redirect(_address_with(day, request.POST))
    source = request.POST or request.GET
    chosen = {int(name[2:]) for name, text in source.items() if _is_number(name) and text}
    lots = lots_to_put_out(timezone.localdate(), request.GET.get("look", ""), chosen)
    form = LotsForm(request.POST or None, lots=lots, state=request.GET)
    context = {"day": day, "look": request.GET.get("look", ""), "place": "sell"}
    return _step_page(request, form, operations.put_out, day, "stand_put_out", context)


@require_http_methods(["GET", "POST"])
def stand_bring_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Bring plants back before the stand closes."""
    day = _day(pk)
    lots = [(row.lot, row.open) for row in put_out_on(day) if row.open]
    form = LotsForm(request.POST or None, lots=lots)
    context = {"day": day, "place": "sell"}
    return _step_page(request, form, operations.bring_back, day, "stand_bring_back", context)


@require_http_methods(["GET", "POST"])
def stand_money(request: HttpRequest, pk: int) -> HttpResponse:
    """Take money out of the box, or put some in."""
    day = _day(pk)
    form = MoneyForm(request.POST or None)
    context = {"day": day, "figures": figures_of(day), "place": "sell"}
    return _step_page(request, form, operations.move_money, day, "stand_money", context)


@require_http_methods(["GET", "POST"])
def stand_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close a stand: first show what the count means, then book it."""
    day = _day(pk)
    form = CloseStandForm(request.POST or None, day=day, out=put_out_on(day))
    if known := saved_before(request, form, saved_step):
        return known
    preview = None
    if form.is_valid():
        try:
            preview = preview_closing(day=day, by=request.user, **form.closing())
            if "close" in request.POST and form.was_checked:
                step = operations.close_stand(day=day, by=request.user, **form.closing())
                return _said(request, step, day)
        except LedgerError as error:
            form.refuse(error)
    context = {"day": day, "form": form, "preview": preview}
    return render(request, "sales/stand_close.html", {"place": "sell", **context})


@require_POST
def undo_stand_step(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back one step at a stand."""
    step = get_object_or_404(StandStep.objects.select_related("day__place"), pk=pk)
    try:
        operations.undo_stand_step(
            step=step, request_id=uuid5(NAMESPACE_URL, f"undo-stand-{pk}"), by=request.user
        )
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Undone: {step_words(step).lower()}.")
    return go_to(request, "sales:stand-day", step.day_id)


def saved_step(request_id: UUID) -> Saved | None:
    """Return what a request did at a stand."""
    step = StandStep.objects.filter(request_id=request_id).select_related("day__place").first()
    if step is None:
        return None
    is_undone = StandStep.objects.filter(reverses=step).exists()
    return Saved(_told(step), step.day.get_absolute_url(), _undo_url(step), is_undone)


def _day(pk):
    return get_object_or_404(StandDay.objects.select_related("place"), pk=pk)


def _step_page(request, form, write, day, template, context):
    """Write a step from its form, or show the form."""
    if known := saved_before(request, form, saved_step):
        return known
    if form.is_valid():
        try:
            step = write(day=day, by=request.user, **form.moved())
        except LedgerError as error:
            form.refuse(error)
        else:
            return _said(request, step, day)
    return render(request, f"sales/{template}.html", {**context, "form": form})


def _said(request, step, day):
    offer_undo(request, _told(step), _undo_url(step))
    return go_to(request, "sales:stand-day", day.pk)


def _told(step):
    return f"{step_words(step)}, {step.day.party}."


def _undo_url(step):
    return reverse("sales:undo-stand-step", args=[step.pk])


def _address_with(day, data) -> str:
    """Return the page's address with what was typed, and one more plant of a lot found."""
    state = {name: data[name] for name in data if _is_number(name) and data[name].strip()}
    find = data["find"].strip()
    lot = lot_with_code(find) if find else None
    if lot:
        held = state.get(f"n-{lot.pk}", "0")
        state[f"n-{lot.pk}"] = str((int(held) if is_number(held) else 0) + 1)
    elif find:
        state["look"] = find
    state |= {name: data[name] for name in ("on", "note") if data.get(name)}
    if data.get("request_id"):
        state[NAME] = data["request_id"]
    return f"{reverse('sales:stand-put-out', args=[day.pk])}?{urlencode(state)}"


def _is_number(name) -> bool:
    return name.startswith("n-") and is_number(name[2:])
