"""The taxes in force, and what is taxed otherwise."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from nursery.http import go_to
from nursery.undo import offer_undo
from sales import operations
from sales.forms.taxes import PlantTaxForm, TaxRateForm
from sales.models import PlantTax, TaxKind, TaxRate
from sales.queries.taxes import tax_on_day


@require_http_methods(["GET", "POST"])
def tax_settings(request: HttpRequest) -> HttpResponse:
    """Set a tax rate from a day on, and show the rates so far."""
    form = TaxRateForm(request.POST or None)
    if form.is_valid():
        rate = operations.set_tax_rate(by=request.user, **form.cleaned_data)
        undo = reverse("sales:undo-tax", args=[rate.pk])
        offer_undo(request, f"{rate} from {rate.valid_from}.", undo)
        return go_to(request, "sales:settings-tax")
    return _page(request, form, PlantTaxForm())


@require_POST
def undo_tax(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a tax rate back."""
    rate = get_object_or_404(TaxRate, pk=pk)
    operations.drop_tax_rate(rate=rate, by=request.user)
    messages.success(request, f"{rate} from {rate.valid_from} is taken back.")
    return go_to(request, "sales:settings-tax")


@require_POST
def tax_plant(request: HttpRequest) -> HttpResponse:
    """Say which rate a plant bears."""
    form = PlantTaxForm(request.POST)
    if not form.is_valid():
        return _page(request, TaxRateForm(), form)
    operations.tax_plant(by=request.user, **form.cleaned_data)
    kind = TaxKind(form.cleaned_data["kind"]).label
    messages.success(request, f"{form.cleaned_data['plant']} bears {kind} from now on.")
    return go_to(request, "sales:settings-tax")


def _page(request, form, plant_form):
    in_force = tax_on_day(timezone.localdate())
    context = {
        "place": "",
        "form": form,
        "plant_form": plant_form,
        "rates": TaxRate.objects.all(),
        "plants": PlantTax.objects.select_related("plant").order_by("plant__name"),
        "in_force": in_force,
        "now": in_force.at(TaxKind.STANDARD) if in_force.is_any else None,
    }
    return render(request, "sales/settings_tax.html", context)
