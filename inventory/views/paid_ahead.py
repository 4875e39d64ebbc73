"""What was paid ahead: the list, a new amount, one with its parts and the next to charge."""

from datetime import date
from uuid import NAMESPACE_OID, UUID, uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.forms.bills import ChargeForm, PaidAheadForm
from inventory.operations import charge_part, pay_ahead, undo_paid_ahead
from inventory.queries.paid_ahead import paid_ahead, standing_of, standings
from inventory.queries.wording import CATEGORY_WORDS
from nursery.http import go_to
from nursery.once import Saved, saved_before
from nursery.templatetags.nursery_tags import money
from nursery.undo import offer_undo

PAGE = "inventory:paid-ahead"


@require_safe
def paid_ahead_list(request: HttpRequest) -> HttpResponse:
    """List what was paid ahead, with what is due."""
    today = date.today()
    rows = [
        {
            "standing": standing,
            "due": standing.due(today),
            "what_for": CATEGORY_WORDS[standing.row.category],
        }
        for standing in standings()
    ]
    context = {"rows": rows, "place": "books"}
    return render(request, "inventory/paid_ahead_list.html", context)


@require_safe
def paid_ahead_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one amount, its parts, and a button for the part that is due."""
    row = get_object_or_404(paid_ahead(), pk=pk)
    return _page(request, row, ChargeForm(initial={"until": date.today()}))


@require_http_methods(["GET", "POST"])
def paid_ahead_add(request: HttpRequest) -> HttpResponse:
    """Ask for an amount paid ahead, and keep it."""
    form = PaidAheadForm(request.POST or None)
    if known := saved_before(request, form, _saved):
        return known
    if form.is_bound and form.is_valid():
        request_id = form.cleaned_data["request_id"]
        try:
            row = pay_ahead(**form.what, request_id=request_id, by=request.user)
        except LedgerError as error:
            form.refuse(error)
        else:
            offer_undo(request, _said(row), reverse(f"{PAGE}-undo", args=[row.pk]))
            return go_to(request, PAGE, row.pk)
    return render(request, "inventory/paid_ahead_form.html", {"form": form, "place": "books"})


@require_POST
def paid_ahead_charge(request: HttpRequest, pk: int) -> HttpResponse:
    """Charge a part to the plants that stood there in its days."""
    row = get_object_or_404(paid_ahead(), pk=pk)
    form = ChargeForm(request.POST)
    if not form.is_valid():
        return _page(request, row, form)
    facts = {"until": form.cleaned_data["until"], "request_id": form.cleaned_data["request_id"]}
    try:
        part = charge_part(paid_ahead=row, by=request.user, **facts)
    except LedgerError as error:
        form.refuse(error)
        return _page(request, row, form)
    words = f"Charged until {_day(part.last_day)}: {money(part.amount)}."
    offer_undo(request, words, reverse("inventory:bill-undo", args=[part.pk]))
    return go_to(request, PAGE, row.pk)


@require_POST
def paid_ahead_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo an amount of which nothing is charged."""
    row = get_object_or_404(paid_ahead(), pk=pk)
    request_id = uuid5(NAMESPACE_OID, f"undo {row.request_id}")
    try:
        undo_paid_ahead(paid_ahead=row, request_id=request_id, by=request.user)
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Undone: {_said(row)}")
    return go_to(request, PAGE, row.pk)


def _page(request, row, form):
    standing = standing_of(row)
    context = {
        "place": "books",
        "standing": standing,
        "row": row,
        "what_for": CATEGORY_WORDS[row.category],
        "due": None if row.is_undone else standing.due(date.today()),
        "form": form,
    }
    return render(request, "inventory/paid_ahead.html", context)


def _saved(request_id: UUID) -> Saved | None:
    row = paid_ahead().filter(request_id=request_id).first()
    if row is None:
        return None
    undo, url = (reverse(name, args=[row.pk]) for name in (f"{PAGE}-undo", PAGE))
    return Saved(_said(row), url, undo, row.is_undone)


def _said(row):
    where = row.place or "the whole nursery"
    what_for = CATEGORY_WORDS[row.category]
    return f"{money(row.amount)} paid ahead for {what_for}, {where}, to {_day(row.last_day)}."


def _day(day):
    return f"{day.day} {day:%B %Y}"
