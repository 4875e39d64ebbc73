"""The price lists."""

from dataclasses import replace
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from inventory.own_time import counted_in
from nursery.http import go_to
from nursery.listing import list_page
from nursery.once import NAME, saved_before
from nursery.undo import offer_undo
from sales import operations
from sales.forms.price_sheet import PriceSheetForm, SheetChoice, rows_sent
from sales.models import Price, PriceList
from sales.queries.price_page import price_lines, price_sheet
from sales.queries.saved_prices import saved_prices
from sales.rights_of_pages import PRICE
from sales.tables.prices import PriceTable

# A row has a field or two for each number its prices begin at; more rows are narrowed down to.
LONGEST = 200


@require_http_methods(["GET", "POST"])
def prices(request: HttpRequest) -> HttpResponse:
    """Show a price list as a sheet beside what each plant costs, and write what is typed.

    Who may not set prices reads them as a plain list.
    """
    choice = SheetChoice(request.GET)
    counted = counted_in(request)
    if "_export" in request.GET or not request.user.has_perm(PRICE):
        return _price_list(request, choice.day, counted)
    sheet = price_sheet(**choice.rows, also=rows_sent(request.POST), counted=counted)
    left_off = max(len(sheet.rows) - LONGEST, 0) if request.method == "GET" else 0
    shown = replace(sheet, rows=sheet.rows[: len(sheet.rows) - left_off])
    form = PriceSheetForm(request.POST or None, sheet=shown, choice=choice)
    if known := saved_before(request, form, saved_prices, url=_sheet_again(request)):
        return known
    if form.is_valid() and _set(request, form):
        return go_to(request, _sheet_again(request))
    return render(request, "sales/prices.html", _context(request, choice, form, left_off))


def _price_list(request, on, counted):
    """Show the prices in force to who sets none, or answer with them as a file."""
    return list_page(
        request,
        PriceTable,
        price_lines(on, counted),
        template="sales/price_list.html",
        context={"place": "sell", "on": on},
        export_name="prices",
    )


def _set(request, form) -> bool:
    """Write what was typed into the sheet, and say whether it was taken."""
    request_id = form.cleaned_data["request_id"]
    facts = {"prices": form.prices(), "on": form.sheet.on, "by": request.user}
    try:
        operations.set_prices(request_id=request_id, **facts)
    except LedgerError as error:
        form.refuse(error)
        return False
    saved = saved_prices(request_id)
    offer_undo(request, saved.text, saved.undo_url)
    return True


def _context(request, choice, form, left_off):
    return {
        "place": "sell",
        "choice": choice,
        "main": [choice[name] for name in choice.main if name != "list"],
        "working": [choice[name] for name in choice.working],
        "form": form,
        "sheet": form.sheet,
        "left_off": left_off,
        "missing": sum(not row.grade and not row.has_price for row in form.sheet.rows),
        "lists": [(name, word, _other_list(request, name)) for name, word in PriceList.choices],
        "is_narrowed": any(request.GET.get(name) for name in ("container", "plant", "on")),
    }


def _sheet_again(request) -> str:
    """Return the sheet's address without what it proposed and the request that is saved."""
    query = request.GET.copy()
    for name in (NAME, *SheetChoice.passing):
        query.pop(name, None)
    return f"{request.path}?{query.urlencode()}" if query else request.path


def _other_list(request, name) -> str:
    query = request.GET.copy()
    query.pop(NAME, None)
    query["list"] = name
    return f"?{query.urlencode()}"


@require_POST
def undo_prices(request: HttpRequest, request_id: UUID) -> HttpResponse:
    """Put the prices one save set back to what they were."""
    found = Price.objects.filter(request_id=request_id).first()
    number = operations.undo_prices(request_id=request_id, by=request.user)
    if number:
        messages.success(request, f"{number} price{'' if number == 1 else 's'} put back.")
    name = found.list if found else PriceList.STAND
    return go_to(request, f"{reverse('sales:prices')}?list={name}")
