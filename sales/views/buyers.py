"""Who buys, and what they owe."""

from datetime import timedelta
from decimal import Decimal

from django.contrib import messages
from django.db.models import prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.views.decorators.http import require_http_methods, require_safe

from inventory.errors import LedgerError
from inventory.own_time import counted_by_default
from nursery.http import go_to
from nursery.listing import list_page
from nursery.numbers import is_number
from sales import operations
from sales.forms.buyer_filter import BuyerFilter
from sales.forms.buyers import BuyerForm, facts_of
from sales.models import Buyer
from sales.queries.buyers import bought_by, contacts_of, history_of, listed_buyers
from sales.queries.certificates import certificate_warning, standing_certificates
from sales.queries.document_list import owed_and_overdue
from sales.queries.holds import holds_of
from sales.queries.margin import margin_with
from sales.queries.on_account import account_rows, on_account
from sales.queries.same_buyer import alike
from sales.tables.buyers import BuyerTable
from sales.tables.documents import DocumentTable


@require_safe
def buyers(request: HttpRequest) -> HttpResponse:
    """Show who buys and what each owes."""
    rows = listed_buyers(timezone.localdate() - timedelta(days=365))
    return list_page(
        request,
        BuyerTable,
        rows,
        template="sales/buyers.html",
        filterset=BuyerFilter,
        context={
            "place": "buyers",
            "owing": rows.filter(owed__gt=Decimal(0)).count(),
            "any": Buyer.objects.exists(),
        },
        export_name="buyers",
    )


def buyer_at(pk: int) -> Buyer:
    """Return the buyer at an address: of entries that are the same, the one kept."""
    return get_object_or_404(Buyer.objects.select_related("same_as"), pk=pk).kept


@require_safe
def buyer(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one buyer: what is owed, what was bought, what is held, how to reach them."""
    found = buyer_at(pk)
    if found.pk != pk:
        double = Buyer.objects.get(pk=pk)
        messages.info(request, f"{double} is the same buyer as {found}.")
        return redirect("sales:buyer", found.pk)
    doubles = list(found.doubles.all())
    entries = [found, *doubles]
    owed, overdue = owed_and_overdue(timezone.localdate(), buyer__in=entries)
    holds = holds_of(entries, timezone.localdate())
    certificates = standing_certificates(found) if found.tax_exempt else []
    prefetch_related_objects(certificates, "files")
    return list_page(
        request,
        DocumentTable,
        history_of(entries),
        template="sales/buyer.html",
        context={
            "place": "buyers",
            "buyer": found,
            "owed": owed,
            "overdue": overdue,
            "on_account": on_account(found),
            "holds": holds,
            "kept_for_holds": sum(row.deposit.left for row in holds),
            "payments": account_rows(entries),
            "most": bought_by(entries),
            "certificates": certificates,
            "certificate_warning": certificate_warning(certificates, timezone.localdate()),
            "contacts": contacts_of(entries),
            "doubles": doubles,
            "margin": margin_with(entries, counted_by_default()),
        },
        export_name=f"buyer-{found.pk}",
    )


@require_http_methods(["GET", "POST"])
def buyer_add(request: HttpRequest) -> HttpResponse:
    """Write down a new buyer; from a request of the web list, go back to it."""
    known = {name: request.GET.get(name, "") for name in ("name", "email", "phone")}
    form = BuyerForm(request.POST or None, initial=known)
    near = alike(form["name"].value() or "")
    # Asked while the name is typed.
    if request.htmx and not form.is_bound:
        return render(request, "sales/_alike.html", {"alike": near})
    if form.is_valid():
        try:
            added = operations.add_buyer(by=request.user, **form.cleaned_data)
        except LedgerError as error:
            form.refuse(error)
        else:
            messages.success(request, f"{added} is written down.")
            _ask_whether_same(request, added)
            asked = request.GET.get("asked", "")
            if is_number(asked):
                return go_to(request, "sales:request", asked)
            return go_to(request, "sales:buyer", added.pk)
    context = {"place": "buyers", "form": form, "alike": near}
    return render(request, "sales/buyer_form.html", context)


def _ask_whether_same(request, added):
    """Offer to make one of a new buyer and one whose name is nearly the same."""
    may = request.user.has_perm("sales.change_buyer")
    for near in alike(added.name, but=added)[:1] if may else ():
        url = f"{reverse('sales:same-buyer', args=[near.pk])}?other={added.pk}"
        words = 'There is {} too. Is it the same buyer? <a href="{}">Compare the two</a>'
        messages.info(request, format_html(words, near, url))


@require_http_methods(["GET", "POST"])
def buyer_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is known of a buyer."""
    found = buyer_at(pk)
    form = BuyerForm(request.POST or None, initial=facts_of(found))
    if request.htmx and not form.is_bound:
        near = alike(request.GET.get("name", ""), but=found)
        return render(request, "sales/_alike.html", {"alike": near})
    if form.is_valid():
        try:
            operations.change_buyer(buyer=found, by=request.user, **form.cleaned_data)
        except LedgerError as error:
            form.refuse(error)
        else:
            messages.success(request, "Saved.")
            return go_to(request, "sales:buyer", found.pk)
    context = {"place": "buyers", "form": form, "buyer": found}
    return render(request, "sales/buyer_form.html", context)
