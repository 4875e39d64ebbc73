"""The page for how many plants a stage is expected to lose."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from inventory.forms.catalogue import ExpectedLossesForm, OwnExpectedLossForm
from inventory.models import ExpectedLoss
from inventory.operations.catalogue import expect_loss, expect_losses
from inventory.views.catalogue import may_name
from nursery.http import go_to


@require_http_methods(["GET", "POST"])
@may_name
def expected_losses(request: HttpRequest) -> HttpResponse:
    """Show and set what each stage is expected to lose, of all plants and of one."""
    rows = ExpectedLoss.objects.select_related("plant")
    percents = dict(rows.filter(plant=None).values_list("stage", "percent"))
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
        messages.success(request, "Saved. It counts from the next write-off on.")
        return go_to(request, "inventory:expected-losses")
    context = {
        "all_form": all_form,
        "own_form": own_form,
        "own": rows.exclude(plant=None),
        "place": "growing",
    }
    return render(request, "inventory/expected_losses.html", context)
