"""Take money for documents, and take it off again."""

from dataclasses import dataclass
from uuid import NAMESPACE_URL, UUID, uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.once import Saved, saved_before
from nursery.templatetags.nursery_tags import money
from nursery.undo import offer_undo
from sales import operations
from sales.forms.amounts import typed
from sales.forms.payments import PaymentForm
from sales.models import Buyer, Document, HoldDeposit, Payment
from sales.queries.document_page import standing_of
from sales.queries.on_account import on_account
from sales.queries.owed_by_age import owed_on
from sales.queries.paying import Paying, may_keep_discount
from sales.views.buyers import buyer_at


@dataclass(frozen=True)
class Page:
    """What is paid: its documents and buyer, the way back, and how the page speaks."""

    documents: list[Document]
    buyer: Buyer | None
    back: str
    what: str
    context: dict


@require_http_methods(["GET", "POST"])
def pay(request: HttpRequest, pk: int) -> HttpResponse:
    """Note a payment, part or all of what is open."""
    document = get_object_or_404(Document, pk=pk, kind=Document.Kind.SALE)
    standing = standing_of(document)
    back = reverse("sales:document", args=[pk])
    context = {"document": document, "standing": standing, "open": standing.open}
    page = Page([document], document.buyer, back, f"on {document}", context)
    return _answer(
        request, page, lambda form: operations.pay(document=document, by=request.user, **form)
    )


@require_http_methods(["GET", "POST"])
def pay_buyer(request: HttpRequest, pk: int) -> HttpResponse:
    """Note one amount over all that a buyer owes, the longest due first."""
    buyer = buyer_at(pk)
    documents = list(owed_on(timezone.localdate()).filter(buyer__in=buyer.entries))
    if not documents:
        messages.info(request, f"{buyer} owes nothing. What they pay now goes onto the account.")
        return redirect("sales:buyer-account", pk, "take")
    context = {"open": sum(row.owed for row in documents), "several": documents}
    page = Page(documents, buyer, reverse("sales:buyer", args=[pk]), f"by {buyer}", context)
    return _answer(
        request,
        page,
        lambda form: operations.pay_several(
            buyer=buyer, documents=documents, by=request.user, **form
        ),
    )


def _answer(request, page, write):
    """Show what is owed and what an amount would do, or write it and go on."""
    today = timezone.localdate()
    form = PaymentForm(
        request.POST or None,
        initial={"amount": typed(page.context["open"])},
        has_account=bool(page.buyer),
        may_discount=any(may_keep_discount(row, today) for row in page.documents),
    )
    is_look = "preview" in request.POST
    if not is_look and (known := saved_before(request, form, saved_payment)):
        return known
    plan = None
    if form.is_valid():
        plan = Paying(page.documents, page.buyer, form.payment()["amount"], form.way())
        try:
            if not is_look:
                return _noted(request, page, write(form.payment()), plan)
            plan.refuse()
        except LedgerError as error:
            form.refuse(error)
    context = {"place": "sell", "page": page, "form": form, "plan": plan, **page.context}
    if page.buyer:
        context["on_account"] = on_account(page.buyer)
    is_piece = is_look and request.htmx
    return render(request, f"sales/{'_paying' if is_piece else 'pay'}.html", context)


def _noted(request, page, payment, plan):
    text = f"{_said(payment, plan.amount)} {page.what}."
    if plan.change:
        text += f" Give back {money(plan.change)}."
    if plan.on_account:
        text += f" {money(plan.on_account)} of it is on the account."
    offer_undo(request, text, reverse("sales:undo-payment", args=[payment.pk]))
    return go_to(request, page.back)


@require_POST
def undo_payment(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a payment off again, with all that was noted with it."""
    payment = get_object_or_404(Payment.objects.select_related("document", "buyer"), pk=pk)
    try:
        operations.undo_payment(
            payment=payment,
            # The same payment undone twice is the same request.
            request_id=uuid5(NAMESPACE_URL, f"undo-payment-{payment.head.pk}"),
            by=request.user,
        )
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        after = " It is open again." if payment.document_id else ""
        messages.success(request, f"Undone: {_said(payment, payment.amount)}.{after}")
    return redirect(place_of(payment))


def saved_payment(request_id: UUID) -> Saved | None:
    """Return the payment that a request noted."""
    payment = Payment.objects.filter(request_id=request_id).first()
    if payment is None:
        return None
    where = f"on {payment.document}" if payment.document_id else "on account"
    return Saved(
        f"{_said(payment, payment.amount)} {where}.",
        place_of(payment),
        reverse("sales:undo-payment", args=[payment.pk]),
        is_undone=Payment.objects.filter(reverses=payment).exists(),
    )


def place_of(payment: Payment) -> str:
    """Return the page where a payment shows: its document's, its hold's, else its buyer's."""
    if payment.document_id:
        return reverse("sales:document", args=[payment.document_id])
    if deposit := HoldDeposit.objects.filter(payment=payment).first():
        return reverse("sales:hold", args=[deposit.hold_id])
    return reverse("sales:buyer", args=[payment.buyer_id])


def _said(payment, amount):
    if payment.method not in Payment.MONEY:
        return f"{money(abs(amount or payment.amount))} by {payment.get_method_display()}"
    way = payment.get_method_display()
    if amount < 0:
        return f"{money(-amount)} paid back by {way}"
    return f"{money(amount)} received by {way}"
