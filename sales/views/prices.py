"""The price list, and the tax on top."""

from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.own_time import counted_in
from nursery.http import go_to
from nursery.listing import as_file
from nursery.undo import offer_undo
from sales import operations
from sales.forms.amounts import typed
from sales.forms.prices import PriceForm, PriceSearch, TaxRateForm
from sales.models import Price, TaxRate
from sales.queries.price_page import price_rows
from sales.queries.prices import tax_rate_on
from sales.tables.prices import PriceTable

may_price = permission_required("sales.add_price", raise_exception=True)
may_tax = permission_required("sales.change_taxrate", raise_exception=True)


@require_safe
def prices(request: HttpRequest) -> HttpResponse:
    """Show each plant's price beside what it costs by now."""
    return _price_page(request)


@require_POST
@may_price
def price_set(request: HttpRequest) -> HttpResponse:
    """Set one price from a day on."""
    form = PriceForm(request.POST)
    if form.is_valid():
        try:
            price = operations.set_price(by=request.user, **form.cleaned_data)
        except LedgerError as error:
            form.add_error("amount", str(error))
        else:
            # The row itself says so and offers Undo: a list of prices is worked down in place.
            return go_to(request, _address_of(request, price, set=price.pk))
    return _price_page(request, form)


@require_POST
@may_price
def undo_price(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a price back to what it was."""
    price = Price.objects.filter(pk=pk).first()
    if price:
        operations.undo_price(price=price, by=request.user)
        return go_to(request, _address_of(request, price))
    return go_to(request, "sales:prices")


def _address_of(request, price: Price, **more) -> str:
    """Return the list's address at the row of a price, narrowed as it was."""
    query = request.GET.copy()
    query.pop("set", None)
    words = urlencode([*query.items(), *more.items()])
    where = f"#price-{price.plant_id}-{price.container_id}"
    return f"{reverse('sales:prices')}{'?' if words else ''}{words}{where}"


def _price_page(request, refused: PriceForm | None = None):
    search = PriceSearch(request.GET)
    search.is_valid()
    container = search.cleaned_data.get("container")
    rows = price_rows(
        on=timezone.localdate(),
        container=container.code if container else "",
        plant=search.cleaned_data.get("plant", ""),
        counted=counted_in(request),
    )
    query = request.GET.copy()
    query.pop("set", None)
    if "_export" in request.GET:
        return as_file(PriceTable(rows), request.GET["_export"], "prices")
    context = {
        "place": "sell",
        "search": search,
        "refused": refused,
        "rows": [(row, _form_for(row, refused)) for row in rows],
        "below": sum(row.is_below_cost for row in rows),
        "missing": sum(row.amount is None for row in rows),
        "query": query.urlencode(),
        "just_set": request.GET.get("set", ""),
    }
    return render(request, "sales/prices.html", context)


def _form_for(row, refused):
    """Return the row's form: the refused one with what was typed, or a fresh one."""
    is_refused = refused is not None and row.key == (
        f"{refused.data.get('plant')}-{refused.data.get('container')}"
    )
    if is_refused:
        return refused
    return PriceForm(initial={"amount": None if row.amount is None else typed(row.amount)})


@require_http_methods(["GET", "POST"])
@may_tax
def tax_settings(request: HttpRequest) -> HttpResponse:
    """Set the sales tax from a day on, and show the rates so far."""
    form = TaxRateForm(request.POST or None)
    if form.is_valid():
        rate = operations.set_tax_rate(by=request.user, **form.cleaned_data)
        undo = reverse("sales:undo-tax", args=[rate.pk])
        offer_undo(request, f"{rate} from {rate.valid_from}.", undo)
        return go_to(request, "sales:settings-tax")
    context = {
        "place": "",
        "form": form,
        "rates": TaxRate.objects.all(),
        "now": tax_rate_on(timezone.localdate()),
    }
    return render(request, "sales/settings_tax.html", context)


@require_POST
@may_tax
def undo_tax(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a tax rate back."""
    rate = get_object_or_404(TaxRate, pk=pk)
    operations.drop_tax_rate(rate=rate, by=request.user)
    messages.success(request, f"{rate} from {rate.valid_from} is taken back.")
    return go_to(request, "sales:settings-tax")
