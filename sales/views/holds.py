"""Holds and orders ahead: the list, one of them, a new one, and what changes them."""

from urllib.parse import urlencode
from uuid import NAMESPACE_URL, UUID, uuid5

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.models import Nursery
from nursery.http import go_to
from nursery.listing import list_page
from nursery.once import NAME, Saved, saved_before
from nursery.undo import offer_undo
from sales import operations
from sales.documents.pdf import PdfNotPossible, pdf_of
from sales.forms.basket import NUMBER
from sales.forms.holds import ChangeHoldForm, HoldForm
from sales.models import Hold, HoldChange
from sales.queries.holds import changes_of, open_holds, standing_of
from sales.queries.on_account import free_on_account
from sales.queries.words import day_words
from sales.tables.holds import HoldTable

may_hold = permission_required("sales.add_hold", raise_exception=True)
may_change = permission_required("sales.change_hold", raise_exception=True)

KEPT = ("buyer", "until", "note", "ahead")


@require_safe
def hold_list(request: HttpRequest) -> HttpResponse:
    """Show what is held for whom, those that end first on top."""
    rows = open_holds(timezone.localdate())
    return list_page(
        request,
        HoldTable,
        rows,
        template="sales/hold_list.html",
        context={
            "place": "sell",
            "kept": sum(row.open for row in rows if not row.is_ended),
            "ended": [row for row in rows if row.is_ended],
            "soon": [row for row in rows if row.ends_soon],
            "short": [row for row in rows if row.short],
        },
        export_name="holds",
    )


@require_safe
def hold(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one hold: what is kept, where it stands, what is short."""
    found = get_object_or_404(Hold.objects.select_related("buyer"), pk=pk)
    context = {
        "place": "sell",
        "hold": found,
        "standing": standing_of(found, timezone.localdate()),
        "changes": changes_of(found),
        "on_account": free_on_account(found.buyer, timezone.localdate()),
    }
    return render(request, "sales/hold.html", context)


@require_http_methods(["GET", "POST"])
@may_hold
def hold_add(request: HttpRequest) -> HttpResponse:
    """Hold plants for a buyer, or order them ahead."""
    if request.method == "POST" and "more" in request.POST:
        return redirect(_address_with_one_more(request.POST))
    form = HoldForm(request.POST or None, state=request.GET, today=timezone.localdate())
    if known := saved_before(request, form, saved_hold):
        return known
    if form.is_bound and form.is_valid():
        try:
            made = operations.hold(by=request.user, **form.hold())
        except LedgerError as error:
            form.refuse(error)
        else:
            words = f"Held for {made.buyer} until {day_words(made.until)}."
            offer_undo(request, words, _undo_url(made.changes.get()))
            return go_to(request, "sales:hold", made.pk)
    return render(request, "sales/hold_form.html", {"place": "sell", "form": form})


@require_http_methods(["GET", "POST"])
@may_change
def hold_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a hold longer, or change its numbers."""
    found = get_object_or_404(Hold.objects.select_related("buyer"), pk=pk)
    today = timezone.localdate()
    form = ChangeHoldForm(request.POST or None, standing=standing_of(found, today))
    if known := saved_before(request, form, saved_hold):
        return known
    if form.is_bound and form.is_valid():
        try:
            change = operations.change_hold(hold=found, on=today, by=request.user, **form.change())
        except LedgerError as error:
            form.refuse(error)
        else:
            offer_undo(request, f"Changed: {_told(change)}.", _undo_url(change))
            return go_to(request, "sales:hold", found.pk)
    context = {"place": "sell", "hold": found, "form": form}
    return render(request, "sales/hold_change.html", context)


@require_POST
@may_change
def hold_let_go(request: HttpRequest, pk: int) -> HttpResponse:
    """Let go of all that a hold still keeps."""
    found = get_object_or_404(Hold, pk=pk)
    try:
        change = operations.let_go_of_hold(
            hold=found,
            on=timezone.localdate(),
            request_id=uuid5(NAMESPACE_URL, f"let-go-{found.changes.latest('pk').pk}"),
            by=request.user,
        )
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        offer_undo(request, f"Let go: {_told(change)}.", _undo_url(change))
    return go_to(request, "sales:hold", found.pk)


@require_POST
@may_change
def undo_hold(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a hold back as it was before a change."""
    change = get_object_or_404(HoldChange, pk=pk)
    try:
        operations.undo_hold_change(
            change=change,
            on=timezone.localdate(),
            request_id=uuid5(NAMESPACE_URL, f"undo-hold-{change.pk}"),
            by=request.user,
        )
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "Undone. The hold is as it was before.")
    return go_to(request, "sales:hold", change.hold_id)


@require_safe
def hold_pick_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with the list to walk with: which lots, where, how many."""
    found = get_object_or_404(Hold.objects.select_related("buyer"), pk=pk)
    standing = standing_of(found, timezone.localdate())
    context = {"nursery": Nursery.current(), "hold": found, "standing": standing}
    try:
        pdf = pdf_of("documents/pick_list.html", context)
    except PdfNotPossible as error:
        told = {"place": "sell", "hold": found, "error": error}
        return render(request, "sales/hold_no_pdf.html", told, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="pick-list-hold-{found.pk}.pdf"'
    return response


def saved_hold(request_id: UUID) -> Saved | None:
    """Return what a request wrote among the holds."""
    change = HoldChange.objects.filter(request_id=request_id).select_related("hold__buyer").first()
    if change is None:
        return None
    return Saved(
        f"{change.hold} for {change.hold.buyer}: {_told(change)}.",
        reverse("sales:hold", args=[change.hold_id]),
        _undo_url(change),
        HoldChange.objects.filter(reverses=change).exists(),
    )


def _told(change: HoldChange) -> str:
    """Say what a change did: "12 of Buxus to 5, until 3 March 2027"."""
    parts = [
        f"{row.before} to {row.after} {row.line.plant} {row.line.container}"
        for row in change.numbers.select_related("line__plant", "line__container")
    ]
    if change.until_before != change.until_after or not parts:
        parts.append(f"until {day_words(change.until_after)}")
    return ", ".join(parts)


def _undo_url(change: HoldChange) -> str:
    return reverse("sales:undo-hold", args=[change.pk])


def _address_with_one_more(data) -> str:
    """Return the form's address with what was typed and one more plant to hold."""
    state = {name: data[name] for name in KEPT if data.get(name)}
    if data.get("request_id"):
        state[NAME] = data["request_id"]
    state |= {
        name: data[name]
        for name in data
        if name.partition("-")[0] in ("price", "lot") and data[name].strip()
    }
    state |= {name: data[name] for name in data if NUMBER.fullmatch(name)}
    if data.get("plant", "").isdigit() and data.get("container", "").isdigit():
        state.setdefault(f"n-{data['plant']}-{data['container']}", "")
    return f"{reverse('sales:hold-add')}?{urlencode(state)}#plants"
