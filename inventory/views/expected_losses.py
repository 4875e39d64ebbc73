"""The page for how many plants a stage is expected to lose."""

from datetime import date

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inventory.forms.catalogue import (
    BeforeForm,
    ExpectedLossesForm,
    OwnExpectedLossForm,
    TakenRecordForm,
)
from inventory.models import ExpectedLoss, Plant
from inventory.operations.catalogue import expect_loss, expect_losses
from inventory.queries.loss_record import RecordRow, record_rows
from nursery.http import go_to
from nursery.templatetags.nursery_tags import percent
from nursery.undo import offer_undo

ALL, NO_NUMBER = 0, "none"
FROM_THEN_ON = "It counts from the next write-off on."


@require_http_methods(["GET", "POST"])
def expected_losses(request: HttpRequest) -> HttpResponse:
    """Show and set what each stage is expected to lose, of all plants and of one."""
    if "take" in request.POST:
        return take_record(request)
    general = ExpectedLoss.objects.filter(plant=None)
    percents = dict(general.values_list("stage", "percent"))
    for_one = "own" in request.POST
    sent = request.POST or None
    all_form = ExpectedLossesForm(None if for_one else sent, percents=percents)
    own_form = OwnExpectedLossForm(sent if for_one else None, prefix="one")
    form = own_form if for_one else all_form
    if form.is_bound and form.is_valid():
        if for_one:
            expect_loss(**form.what)
        else:
            expect_losses(percents=form.what)
        messages.success(request, f"Saved. {FROM_THEN_ON}")
        return go_to(request, "inventory:expected-losses")
    return show(request, all_form, own_form)


def take_record(request: HttpRequest) -> HttpResponse:
    """Expect what the nursery's own record says, in one stage of one plant or of all."""
    form = TakenRecordForm(request.POST, rows=record_rows(date.today()))
    if form.is_valid():
        row = form.cleaned_data["take"]
        if not row.is_taken:
            expect_loss(**form.what)
            offer_undo(request, f"{record_words(row)} {FROM_THEN_ON}", _back(row))
    else:
        messages.error(request, " ".join(form.errors.get("take", ["Press the button again."])))
    return go_to(request, "inventory:expected-losses")


@require_POST
def expected_loss_back(request: HttpRequest, stage: str, plant: int, before: str) -> HttpResponse:
    """Put back the number that stood there before one was taken from the record."""
    of_plant = None if plant == ALL else get_object_or_404(Plant, pk=plant)
    form = BeforeForm({"stage": stage, "percent": "" if before == NO_NUMBER else before})
    if not form.is_valid():
        raise Http404
    expect_loss(plant=of_plant, **form.cleaned_data)
    messages.success(request, "Undone. The number before counts again.")
    return go_to(request, "inventory:expected-losses")


def show(request: HttpRequest, all_form, own_form) -> HttpResponse:
    """Show what is expected beside what the nursery's own record says."""
    rows = record_rows(date.today())
    context = {
        "all_form": all_form,
        "all_rows": [(all_form[row.stage], row) for row in rows if not row.plant],
        "own_form": own_form,
        "own_rows": [row for row in rows if row.plant],
        "take_form": TakenRecordForm(rows=rows),
        "place": "growing",
    }
    return render(request, "inventory/expected_losses.html", context)


def record_words(row: RecordRow) -> str:
    """Say what was taken from the record, and what was expected before."""
    whose = row.plant.name if row.plant else "All plants"
    before = "" if row.expected is None else f"; it was {percent(row.expected)}"
    return f"{whose}, {row.words}: {percent(row.percent)} is expected now{before}."


def _back(row):
    """Return the address that puts back what was expected before."""
    before = NO_NUMBER if row.expected is None else row.expected
    plant = row.plant.pk if row.plant else ALL
    return reverse("inventory:expected-loss-back", args=[row.stage, plant, before])
