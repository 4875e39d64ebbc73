"""Purchases from a file."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from inventory.errors import LedgerError
from inventory.forms.supply_file import PurchasesForm
from inventory.operations.supply_purchases import buy_all
from nursery.http import go_to


@require_http_methods(["GET", "POST"])
def supply_import(request: HttpRequest) -> HttpResponse:
    """Take in a file of purchases, or only say what would become of each row."""
    form = PurchasesForm(request.POST or None, request.FILES or None)
    if form.is_valid() and "check" not in request.POST:
        try:
            taken = buy_all(purchases=form.purchases, by=request.user)
        except LedgerError as error:
            form.add_error("file", str(error))
        else:
            messages.success(request, _said(len(taken), len(form.rows)))
            return go_to(request, "inventory:supply-list")
    context = {"form": form, "place": "growing", "verb": "Take the file in"}
    return render(request, "inventory/supply_import.html", context)


def _said(taken, rows):
    if not taken:
        return f"All {rows} purchases were known already; nothing was written."
    known = rows - taken
    left = f" {known} were known already and left as they are." if known else ""
    return f"{taken} purchase{'s' * (taken > 1)} taken in.{left}"
