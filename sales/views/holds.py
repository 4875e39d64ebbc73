"""Holds and orders ahead: the list, one of them, and what changes them."""

from uuid import NAMESPACE_URL, UUID, uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.models import Nursery
from nursery.http import go_to
from nursery.listing import list_page
from nursery.once import Saved, saved_before
from nursery.templatetags.nursery_tags import money
from nursery.undo import offer_undo
from sales import operations
from sales.documents.pdf import PdfNotPossible, pdf_of
from sales.forms.hold_lines import ChangeHoldForm
from sales.models import Hold, HoldChange
from sales.queries.deposits import deposit_of, deposit_rows, free_beside_deposits
from sales.queries.holds import changes_of, open_holds, standing_of
from sales.queries.words import day_words
from sales.tables.holds import HoldTable


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
        "payments": deposit_rows(found),
        "on_account": free_beside_deposits(found.buyer, timezone.localdate()),
    }
    return render(request, "sales/hold.html", context)


@require_http_methods(["GET", "POST"])
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
            offer_undo(request, f"Changed: {told(change)}.", undo_url(change))
            return go_to(request, "sales:hold", found.pk)
    context = {"place": "sell", "hold": found, "form": form}
    return render(request, "sales/hold_change.html", context)


@require_POST
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
        offer_undo(request, f"Let go: {told(change)}.{_of_deposit(found)}", undo_url(change))
    return go_to(request, "sales:hold", found.pk)


@require_POST
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
        f"{change.hold} for {change.hold.buyer}: {told(change)}.",
        reverse("sales:hold", args=[change.hold_id]),
        undo_url(change),
        HoldChange.objects.filter(reverses=change).exists(),
    )


def told(change: HoldChange) -> str:
    """Say what a change did: "12 of Buxus to 5, until 3 March 2027"."""
    parts = [
        f"{row.before} to {row.after} {row.line.plant} {row.line.container}"
        for row in change.numbers.select_related("line__plant", "line__container")
    ]
    if change.until_before != change.until_after or not parts:
        parts.append(f"until {day_words(change.until_after)}")
    return ", ".join(parts)


def _of_deposit(found: Hold) -> str:
    """Say what becomes of the deposit of a hold that was let go."""
    left = deposit_of(found, timezone.localdate()).left
    return f" The deposit, {money(left)}, stays on their account." if left else ""


def undo_url(change: HoldChange) -> str:
    return reverse("sales:undo-hold", args=[change.pk])
