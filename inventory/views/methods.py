"""Pages for methods: the list, one method with its steps, the strength of a hormone."""

from datetime import date

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.forms.methods import CopyForm, DilutionForm, MethodForm, StepForm
from inventory.models import Method, MethodStep
from inventory.operations import methods as operations
from inventory.queries.due_steps import landmarks_of
from inventory.queries.methods import example_of, listed_methods
from inventory.starter_methods import STARTERS
from inventory.views.catalogue import enter
from nursery.context import current_nursery
from nursery.http import go_to
from nursery.undo import offer_undo

PLACE = {"place": "growing"}


@require_safe
def method_list(request: HttpRequest) -> HttpResponse:
    """Show the nursery's methods, and those ready to copy."""
    methods = list(listed_methods())
    named = {row.name for row in methods}
    context = {
        "methods": methods,
        "starters": [row for row in STARTERS.values() if row.name not in named],
        "untimed": None in landmarks_of(current_nursery()).values(),
    }
    return render(request, "inventory/method_list.html", PLACE | context)


@require_safe
def method(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one method: its steps in the order of a year, and when they would be."""
    shown = get_object_or_404(Method.objects.select_related("plant"), pk=pk)
    begun_on, steps = example_of(shown, date.today(), current_nursery())
    context = {
        "method": shown,
        "begun_on": begun_on,
        "steps": steps,
        "batches": shown.batches.select_related("plant").order_by("-started_on", "-pk")[:12],
    }
    return render(request, "inventory/method.html", PLACE | context)


@require_http_methods(["GET", "POST"])
def method_add(request: HttpRequest) -> HttpResponse:
    """Begin a method of one's own."""
    form = MethodForm(request.POST or None)
    return enter(
        request,
        form,
        write=lambda: operations.add_method(**form.what),
        said=lambda made: f"{made.name} is on the list. Add what is done, step by step.",
        to=lambda made: ("inventory:method", made.pk),
        context={"heading": "Add a method", "verb": "Add the method"},
    )


@require_http_methods(["GET", "POST"])
def method_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what a method is called and for."""
    row = get_object_or_404(Method, pk=pk)
    form = MethodForm(request.POST or None, method=row)
    return enter(
        request,
        form,
        write=lambda: operations.edit_method(method=row, **form.what),
        said=lambda saved: f"{saved.name} is saved.",
        to=lambda _: ("inventory:method", pk),
        context={"heading": f"Change {row}", "verb": "Save the method"},
    )


@require_http_methods(["GET", "POST"])
def method_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Copy a method under another name, for one plant or for all."""
    row = get_object_or_404(Method, pk=pk)
    form = CopyForm(request.POST or None, initial={"name": f"{row.name}, copy"[:80]})
    return enter(
        request,
        form,
        write=lambda: operations.copy_method(method=row, **form.what),
        said=lambda copy: f"{copy.name} is a copy of {row}. Change its steps as you do them.",
        to=lambda copy: ("inventory:method", copy.pk),
        context={"heading": f"Copy {row}", "verb": "Copy the method"},
    )


@require_POST
def starter_copy(request: HttpRequest, key: str) -> HttpResponse:
    """Copy a ready-made method."""
    if key not in STARTERS:
        raise Http404
    made = operations.copy_starter(key=key)
    undo = reverse("inventory:method-remove", args=[made.pk])
    offer_undo(request, f"{made.name} is yours now. Change it as you do it.", undo)
    return go_to(request, "inventory:method", made.pk)


@require_POST
def method_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a method off the list."""
    row = get_object_or_404(Method, pk=pk)
    operations.remove_method(method=row)
    offer_undo(request, f"{row} is off the list.", reverse("inventory:method-back", args=[pk]))
    return go_to(request, "inventory:method-list")


@require_POST
def method_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a method back."""
    row = get_object_or_404(Method, pk=pk)
    operations.put_method_back(method=row)
    messages.success(request, f"Undone. {row} is on the list again.")
    return go_to(request, "inventory:method", pk)


@require_http_methods(["GET", "POST"])
def step_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a step to a method."""
    row = get_object_or_404(Method, pk=pk)
    form = StepForm(request.POST or None, method=row)
    return _enter_step(
        request,
        form,
        row,
        write=lambda: operations.add_step(method=row, **form.what),
        words=("Add a step", "Add the step"),
    )


@require_http_methods(["GET", "POST"])
def step_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a step."""
    step = get_object_or_404(MethodStep.objects.select_related("method"), pk=pk)
    form = StepForm(request.POST or None, method=step.method, step=step)
    return _enter_step(
        request,
        form,
        step.method,
        write=lambda: operations.edit_step(step=step, **form.what),
        words=("Change a step", "Save the step"),
        step=step,
    )


def _enter_step(request, form, row, *, write, words, step=None):
    if form.is_bound and form.is_valid():
        try:
            saved = write()
        except LedgerError as error:
            form.refuse(error)
        else:
            messages.success(request, f"“{saved.name}” is saved.")
            return go_to(request, "inventory:method", row.pk)
    heading, verb = words
    context = {"form": form, "method": row, "step": step, "heading": heading, "verb": verb}
    return render(request, "inventory/step_form.html", PLACE | context)


@require_POST
def step_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a step out of its method."""
    step = get_object_or_404(MethodStep, pk=pk)
    try:
        operations.remove_step(step=step)
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        back = reverse("inventory:step-back", args=[pk])
        offer_undo(request, f"“{step.name}” is taken out.", back)
    return go_to(request, "inventory:method", step.method_id)


@require_POST
def step_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a step back."""
    step = get_object_or_404(MethodStep, pk=pk)
    operations.put_step_back(step=step)
    messages.success(request, f"Undone. “{step.name}” is back.")
    return go_to(request, "inventory:method", step.method_id)


@require_safe
def hormone(request: HttpRequest) -> HttpResponse:
    """Work out how a rooting hormone is diluted."""
    asked = "stock_ppm" in request.GET
    form = DilutionForm(
        request.GET
        if asked
        else {name: field.initial for name, field in DilutionForm.base_fields.items()}
    )
    context = {"form": form, "dilution": form.dilution()}
    return render(request, "inventory/hormone.html", PLACE | context)
