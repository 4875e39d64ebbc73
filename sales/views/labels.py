"""Labels for lots: how many on which sheet, the sheet itself, and own measures."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from inventory.errors import LedgerError
from nursery.context import current_nursery
from nursery.http import go_to, only_on_this_machine
from sales import operations
from sales.documents.pdf import PdfNotPossible
from sales.forms.labels import LabelsForm, LabelStockForm
from sales.labels.paper import labels_pdf
from sales.labels.tags import tags_of
from sales.models import LabelStock
from sales.queries.labels import MOST_LOTS, lots_to_label
from sales.rights_of_pages import PRICES

LAST = "labels"
"""What the session keeps of the last sheet: on which labels, with what, where it ended."""


@require_safe
def labels(request: HttpRequest) -> HttpResponse:
    """Ask how many labels of which lots, on which sheet."""
    lots = lots_to_label(request.GET)
    each = request.GET.get("each") or ("plant" if len(lots) == 1 else "lot")
    return _ask(request, _form(request, lots, each=each), lots)


@require_safe
def labels_sheet(request: HttpRequest) -> HttpResponse:
    """Answer with sheets of labels as a PDF, or ask again where something is wrong."""
    lots = lots_to_label(request.GET)
    form = _form(request, lots, data=request.GET)
    if not form.is_valid():
        return _ask(request, form, lots)
    what, grid = form.cleaned_data, form.grid
    base = f"{request.scheme}://{request.get_host()}"
    with_passport = what.get("passport", False)
    tags = tags_of(
        form.numbers, base, with_price=what.get("price", False), with_passport=with_passport
    )
    try:
        pdf = labels_pdf(tags, grid, start=what["start"])
    except PdfNotPossible as error:
        form.add_error(None, str(error))
        return _ask(request, form, lots, status=503)
    ended = "" if grid.is_roll else (what["start"] + len(tags) - 2) % grid.on_a_sheet + 1
    request.session[LAST] = {
        **{name: what[name] for name in ("stock", "price", "passport") if name in what},
        "ended": ended and f"label {ended} of {grid.on_a_sheet}",
    }
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = 'inline; filename="labels.pdf"'
    return response


def _form(request, lots, *, data=None, each=""):
    last = request.session.get(LAST, {})
    sees_prices = request.user.has_perm(PRICES)
    shown = {"lots": lots, "nursery": current_nursery(), "sees_prices": sees_prices}
    return LabelsForm(data, each=each, last=last, **shown)


def _ask(request, form, lots, status=200):
    context = {
        "place": "growing",
        "form": form,
        "lots": lots,
        "are_all": len(lots) < MOST_LOTS,
        "only_here": only_on_this_machine(request),
    }
    return render(request, "sales/labels.html", context, status=status)


@require_safe
def label_stock_list(request: HttpRequest) -> HttpResponse:
    """Show the nursery's own labels by their measures."""
    context = {"place": "growing", "stocks": LabelStock.objects.order_by("-in_use", "name")}
    return render(request, "sales/label_stocks.html", context)


@require_http_methods(["GET", "POST"])
def label_stock_add(request: HttpRequest) -> HttpResponse:
    """Enter the measures of labels."""
    return _measure(request, LabelStockForm(request.POST or None), "Measure your labels")


@require_http_methods(["GET", "POST"])
def label_stock_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the measures of labels."""
    stock = get_object_or_404(LabelStock, pk=pk)
    form = LabelStockForm(request.POST or None, stock=stock)
    return _measure(request, form, f"Change {stock}", stock)


def _measure(request, form, heading, stock=None):
    if form.is_valid():
        try:
            kept = operations.keep_label_stock(stock=stock, **form.what)
        except LedgerError as error:
            form.refuse(error)
        else:
            messages.success(request, f"{kept} is kept: {kept.grid.measures}.")
            return go_to(request, "sales:label-stock-list")
    context = {"place": "growing", "form": form, "heading": heading}
    return render(request, "sales/label_stock_form.html", context)
