"""The stand: choose plants, take the money, next sale."""

from decimal import Decimal
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inventory.errors import LedgerError
from inventory.models import Container, Plant
from inventory.queries.search import lot_with_code
from nursery.camera import may_use_camera
from nursery.cash import in_cash
from nursery.context import current_currency, current_nursery
from nursery.http import go_to
from nursery.money import currency_digits
from nursery.numbers import is_number
from nursery.once import NAME, saved_before, unused_request
from nursery.undo import offer_undo
from sales import operations
from sales.forms.basket import NUMBER, BasketLine, key_of
from sales.forms.sell import SaleForm
from sales.operations.documents import tax_of_sale
from sales.queries.certificates import exemption_trouble
from sales.queries.stand import StandPlant, round_amounts_over, stand_plants

KEPT = ("buyer", "on", "note", "given", "find", "all", "stand", "plain")
FIRST_ROWS = 30
# What js/stand.js copies for each plant and each line.
BLANK_ROW = StandPlant(Plant(), Container(), 0, Decimal(0))
BLANK_LINE = BasketLine(Plant(), Container(), "", "", None, [])


@require_http_methods(["GET", "POST"])
@may_use_camera
def sell(request: HttpRequest) -> HttpResponse:
    """Sell plants at the stand in a few taps."""
    if request.method == "POST" and ("paid_by" not in request.POST or _code_in(request.POST)):
        return redirect(_address_after_tap(request.POST))
    form = SaleForm(request.POST or None, state=request.GET, today=timezone.localdate())
    # An empty stand has nothing to save yet: the first tap takes its request id along.
    if (form.is_bound or form.lines) and (known := saved_before(request, form)):
        return known
    if form.is_valid():
        try:
            document = operations.sell(by=request.user, **form.sale())
        except LedgerError as error:
            form.refuse(error)
        else:
            return _say_sold(request, document, form)
    page = render(request, "sales/sell.html", stand_context(request, form))
    if form.errors:
        # What was wrong stands on top of a list that may be scrolled far down.
        page.headers["HX-Reswap"] = "outerHTML show:#stand:top"
    return page


def _say_sold(request, document, form):
    offer_undo(
        request,
        f"Sold {form.plants} {'plant' if form.plants == 1 else 'plants'} on {document}.",
        reverse("sales:undo-sale", args=[document.pk]),
    )
    after = {"sold": "now"}
    if form.cleaned_data["paid_by"] == "cash" and form.cleaned_data["given"]:
        after["given"] = str(form.cleaned_data["given"])
    return go_to(request, f"{reverse('sales:document', args=[document.pk])}?{urlencode(after)}")


def _address_after_tap(data) -> str:
    """Return the stand's address with the basket as it is after a tap on + or −."""
    state = {name: data[name] for name in KEPT if data.get(name)}
    state |= {name: data[name] for name in data if _is_kept(name, data)}
    place, code = "", _code_in(data)
    scanned = _key_of_code(code) if code else ""
    if code and not scanned:
        state["lot_code"] = code
    taps = [(scanned, 1), (data.get("more", ""), 1), (data.get("fewer", ""), -1)]
    for key, change in [*taps, (data.get("none", ""), None)]:
        if not NUMBER.fullmatch(f"n-{key}"):
            continue
        held = state.pop(f"n-{key}", "0")
        number = (int(held) if is_number(held) else 0) + (change or 0)
        if change is not None and number > 0:
            state[f"n-{key}"] = str(number)
        else:
            state.pop(f"price-{key}", None), state.pop(f"lot-{key}", None)
        place = f"#plant-{key}" if key != scanned else ""
    # What is changed after a sale was made is another sale.
    if request_id := unused_request(data):
        state[NAME] = request_id
    if data.get("on") == timezone.localdate().isoformat():
        state.pop("on", None)
    return f"{reverse('sales:sell')}?{urlencode(state)}{place}"


def _code_in(data) -> str:
    """Return the label's code that was typed or scanned and is not in the sale yet."""
    return data.get("lot_code", "").strip()


def _key_of_code(code: str) -> str:
    """Return what names the line of a code's lot, or nothing where no lot has the code."""
    lot = lot_with_code(code)
    return key_of(lot.plant_id, lot.container_id, lot.pk) if lot else ""


def _is_kept(name, data) -> bool:
    """Whether a field of a plant goes along; a list price left as it stood does not."""
    kind, _, key = name.partition("-")
    text = data[name].strip()
    if kind == "price":
        return bool(text) and text != data.get(f"shown-{key}")
    return kind in ("n", "lot") and text not in ("", "0")


def stand_context(request, form) -> dict:
    """Return what the stand's page shows of a sale so far."""
    search = form["find"].value() or ""
    found = stand_plants(search=search, on=form.on, buyer=form.chosen_buyer, stand=form.at_stand)
    chosen = {line.key: line.quantity for line in form.lines}
    rows = found if search or form.shows_all else found[:FIRST_ROWS]
    digits = currency_digits(current_currency())
    net = sum(line.net for line in form.lines)
    pieces = [piece for line in form.lines for piece in line.pieces]
    tax = tax_of_sale(pieces, form.on, form.chosen_buyer, digits)
    total = tax.net + tax.tax
    cash = in_cash(total, current_nursery().smallest_cash)
    given = form.cash_given
    return {
        "place": "sell",
        "page_class": "sell",
        "form": form,
        "rows": [(row, chosen.get(row.key, 0)) for row in rows],
        "hidden_rows": len(found) - len(rows),
        "below_cost": [line for line in form.lines if line.is_below_cost],
        "search": search,
        "net": net,
        "tax": tax,
        "total": total,
        "taxed_because": exemption_trouble(form.chosen_buyer, form.on) if tax.tax else "",
        "cash": cash,
        "on_account": form.on_account,
        "change": given - cash if given and form.lines and given >= cash else None,
        "short": cash - given if given and form.lines and given < cash else None,
        "for_another_day": form.on != timezone.localdate() or "plain" in form.state,
        "blank_row": BLANK_ROW,
        "blank_line": BLANK_LINE,
        "handed_over": [(amount, amount - cash) for amount in round_amounts_over(cash, digits)],
    }
