"""Bills for a place and some days: the list, a new one with a look ahead, one with its parts."""

from uuid import NAMESPACE_OID, UUID, uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.forms.bills import BillForm
from inventory.models import Bill
from inventory.operations import enter_bill, undo_bill
from inventory.operations.bills import refuse_bill
from inventory.queries.bill_page import choices_of, entries_of_bill, part_rows
from inventory.queries.bills import bills, share_out
from inventory.queries.wording import CATEGORY_WORDS
from inventory.tables.bills import BillPartTable, BillTable
from nursery.http import go_to
from nursery.listing import list_page
from nursery.money import from_millionths
from nursery.once import Saved, saved_before
from nursery.templatetags.nursery_tags import money
from nursery.undo import offer_undo

MOST_ROWS = 100


@require_safe
def bill_list(request: HttpRequest) -> HttpResponse:
    """List the bills."""
    return list_page(
        request,
        BillTable,
        bills(),
        template="inventory/bill_list.html",
        context={"place": "books"},
        export_name="bills",
    )


@require_safe
def bill(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a bill and what each lot bears of it."""
    row = get_object_or_404(bills(), pk=pk)
    return list_page(
        request,
        BillPartTable,
        entries_of_bill(row),
        template="inventory/bill.html",
        context={
            "place": "books",
            "bill": row,
            "what_for": CATEGORY_WORDS[row.category],
            "borne": row.amount - row.unused_amount,
            "is_undone": hasattr(row, "reversed_by"),
        },
        export_name=f"bill-{row.pk}",
    )


@require_http_methods(["GET", "POST"])
def bill_add(request: HttpRequest) -> HttpResponse:
    """Ask for a bill, show what it will do, then enter it."""
    form = BillForm(request.POST or None)
    if known := saved_before(request, form, _saved):
        return known
    if not form.is_bound or "again" in request.POST or not form.is_valid():
        return _form(request, form)
    try:
        if "save" in request.POST:
            return _enter(request, form)
        refuse_bill(form.asked)
        sharing = share_out(form.asked)
    except LedgerError as error:
        form.refuse(error)
        return _form(request, form)
    return _check(request, form, sharing)


@require_POST
def bill_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a bill with all its parts."""
    row = get_object_or_404(bills(), pk=pk)
    request_id = uuid5(NAMESPACE_OID, f"undo {row.request_id}")
    try:
        undo_bill(bill=row, request_id=request_id, by=request.user)
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Undone: {_said(row)} Every lot costs what it did before.")
    return go_to(request, "inventory:bill", row.pk)


def _form(request, form):
    return render(request, "inventory/bill_form.html", {"form": form, "place": "books"})


def _check(request, form, sharing):
    rows = part_rows(sharing)
    context = {
        "place": "books",
        "form": form,
        "asked": form.asked,
        "what_for": CATEGORY_WORDS[form.asked.category],
        "basis_words": Bill.Basis(form.asked.basis).label,
        "sharing": sharing,
        "rows": rows[:MOST_ROWS],
        "more": len(rows) - MOST_ROWS,
        "lots": len(sharing.most_plants),
        "unused_amount": from_millionths(sharing.unused_amount),
        "borne": from_millionths(sharing.amount - sharing.unused_amount),
        "choices": choices_of(sharing),
    }
    return render(request, "inventory/bill_check.html", context)


def _enter(request, form):
    row = enter_bill(**form.what, request_id=form.cleaned_data["request_id"], by=request.user)
    offer_undo(request, _said(row), reverse("inventory:bill-undo", args=[row.pk]))
    return go_to(request, "inventory:bill", row.pk)


def _saved(request_id: UUID) -> Saved | None:
    row = bills().filter(request_id=request_id).first()
    if row is None:
        return None
    undo = reverse("inventory:bill-undo", args=[row.pk])
    url = reverse("inventory:bill", args=[row.pk])
    return Saved(_said(row), url, undo, hasattr(row, "reversed_by"))


def _said(row):
    where = row.place or "the whole nursery"
    return f"Bill of {money(row.amount)} for {CATEGORY_WORDS[row.category]}, {where}."
