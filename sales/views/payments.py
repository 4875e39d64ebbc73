"""Take money for a document, and take it off again."""

from uuid import NAMESPACE_URL, UUID, uuid5

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from nursery.context import current_currency
from nursery.http import go_to
from nursery.money import round_to_currency
from nursery.once import Saved, saved_before
from nursery.templatetags.nursery_tags import money
from nursery.undo import offer_undo
from sales import operations
from sales.forms.payments import PaymentForm
from sales.models import Document, Payment
from sales.queries.document_page import standing_of

may_take_money = permission_required("sales.add_payment", raise_exception=True)


@require_http_methods(["GET", "POST"])
@may_take_money
def pay(request: HttpRequest, pk: int) -> HttpResponse:
    """Note a payment, part or all of what is open."""
    document = get_object_or_404(Document, pk=pk, kind=Document.Kind.SALE)
    standing = standing_of(document)
    open_amount = round_to_currency(standing.open, current_currency())
    form = PaymentForm(request.POST or None, initial={"amount": open_amount})
    if known := saved_before(request, form, saved_payment):
        return known
    if form.is_valid():
        try:
            payment = operations.pay(document=document, by=request.user, **form.cleaned_data)
        except LedgerError as error:
            form.refuse(error)
        else:
            undo = reverse("sales:undo-payment", args=[payment.pk])
            offer_undo(request, f"{_said(payment)} on {document}.", undo)
            return go_to(request, "sales:document", document.pk)
    context = {"place": "sell", "document": document, "standing": standing, "form": form}
    return render(request, "sales/pay.html", context)


@require_POST
@may_take_money
def undo_payment(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a payment off its document again."""
    payment = get_object_or_404(Payment.objects.select_related("document"), pk=pk)
    try:
        operations.undo_payment(
            payment=payment,
            # The same payment undone twice is the same request.
            request_id=uuid5(NAMESPACE_URL, f"undo-payment-{payment.pk}"),
            by=request.user,
        )
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Undone: {_said(payment)}. It is open again.")
    return redirect(place_of(payment))


def saved_payment(request_id: UUID) -> Saved | None:
    """Return the payment that a request noted."""
    payment = Payment.objects.filter(request_id=request_id).first()
    if payment is None:
        return None
    return Saved(
        f"{_said(payment)} {'on ' + str(payment.document) if payment.document else 'on account'}.",
        place_of(payment),
        reverse("sales:undo-payment", args=[payment.pk]),
        is_undone=Payment.objects.filter(reverses=payment).exists(),
    )


def place_of(payment: Payment) -> str:
    """Return the page where a payment shows: its document's, else its buyer's."""
    if payment.document_id:
        return reverse("sales:document", args=[payment.document_id])
    return reverse("sales:buyer", args=[payment.buyer_id])


def _said(payment: Payment) -> str:
    way = payment.get_method_display()
    if payment.amount < 0:
        return f"{money(-payment.amount)} paid back by {way}"
    return f"{money(payment.amount)} received by {way}"
