"""The sheet for a walk through the house: what is alive now, lot by lot."""

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from inventory.errors import LedgerError
from inventory.forms.lose import LARGEST_KEY, SheetChoiceForm, SheetForm
from inventory.held import short_without
from inventory.models import Operation
from inventory.operations.walk import SheetHasAged, write_off_walk
from inventory.queries.on_hand import plants_in
from inventory.queries.sheet import LONGEST_SHEET, sheet_rows, sheet_rows_of
from inventory.views.entering import write_and_tell
from inventory.views.loss_lines import loss_lines, totals_of
from nursery.http import go_to
from nursery.numbers import is_number
from nursery.once import saved_before, without_request

WHY_EXPENSED = "What is beyond that, or left no plant to carry it, is a loss of the year."


@require_http_methods(["GET", "POST"])
def write_off(request: HttpRequest) -> HttpResponse:
    """Show the sheet, then what it will do, then write it."""
    choice = _choice(request)
    if request.method == "GET":
        form = _empty_form(choice)
    else:
        form = SheetForm(request.POST, rows=_rows_on_the_sheet(request))
    if known := saved_before(request, form):
        return known
    if not form.is_bound:
        return _sheet(request, choice, form)
    if "again" in request.POST or not form.is_valid():
        return _sheet(request, choice, form)
    if "save" not in request.POST:
        return _check(request, form)
    return _save(request, choice, form)


def _choice(request):
    return SheetChoiceForm({"on": date.today().isoformat(), **request.GET.dict()})


def _empty_form(choice):
    chosen = choice.chosen()
    rows = sheet_rows(**chosen)
    form = SheetForm(initial={"on": chosen["on"]}, rows=rows[:LONGEST_SHEET])
    form.left_off = len(rows) - len(form.rows)
    return form


def _rows_on_the_sheet(request):
    """Return the lots that were on the sheet when it was made, sold out ones too."""
    names = (name.removeprefix("held_") for name in request.POST if name.startswith("held_"))
    lots = [int(name) for name in names if is_number(name) and int(name) <= LARGEST_KEY]
    try:
        on = date.fromisoformat(request.POST.get("on", ""))
    except ValueError:
        on = date.today()
    return sheet_rows_of(on, lots)


def _sheet(request, choice, form):
    context = {"choice": choice, "form": form, "place": "growing"}
    return render(request, "inventory/write_off.html", context)


def _check(request, form):
    """Show what the sheet will do before it does it."""
    if aged := form.aged():
        form.add_error(None, f"{aged} Look at the numbers again.")
        form.take_new_figures()
        return _sheet(request, _choice(request), form)
    lines = loss_lines(form)
    totals = totals_of(lines)
    lost = {line.lot.pk: line.loss.plants for line in lines}
    context = {
        "form": form,
        "lines": lines,
        "looked": len(form.looked()),
        "totals": totals,
        "short": short_without(lost),
        "why_expensed": WHY_EXPENSED if totals.expensed else "",
        "place": "growing",
    }
    return render(request, "inventory/write_off_check.html", context)


def _save(request, choice, form):
    looked = form.looked()
    try:
        write_and_tell(
            request,
            lambda: write_off_walk(
                looked=looked,
                on=form.cleaned_data["on"],
                note=form.note_with_reason,
                request_id=form.cleaned_data["request_id"],
                by=request.user,
            ),
            lots={look.lot.pk for look in looked},
            since=form.cleaned_data["on"],
            said=_said,
        )
    except LedgerError as error:
        form.refuse(error)
        if isinstance(error, SheetHasAged):
            form.take_new_figures()
        return _sheet(request, choice, form)
    if len(form.rows) == 1:
        return go_to(request, "inventory:lot", form.rows[0].lot.pk)
    return go_to(request, without_request(request))


def _said(operation: Operation) -> str:
    lost = operation.movements.all()
    lots = lost.values("from_lot").distinct().count() or operation.counts.count()
    of_lots = f"{lots} lot{'' if lots == 1 else 's'}"
    if not lost:
        return f"Counted {of_lots}, all alive."
    return f"Wrote off {plants_in(lost)} plants of {of_lots}."
