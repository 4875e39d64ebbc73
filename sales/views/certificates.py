"""A buyer's exemption certificates: add one, take one off, put one back."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.undo import offer_undo
from sales import operations
from sales.forms.certificates import CertificateForm
from sales.models import Buyer, Certificate
from sales.queries.certificates import counts_back_to
from sales.views.buyers import may_change


@require_http_methods(["GET", "POST"])
@may_change
def certificate_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down a buyer's certificate."""
    buyer = get_object_or_404(Buyer, pk=pk)
    form = CertificateForm(request.POST or None)
    if form.is_valid():
        try:
            added = operations.add_certificate(buyer=buyer, by=request.user, **form.cleaned_data)
        except LedgerError as error:
            form.refuse(error)
        else:
            undo = reverse("sales:certificate-remove", args=[added.pk])
            offer_undo(request, f"The certificate {added} is written down.", undo)
            return go_to(request, "sales:buyer", pk)
    since = counts_back_to(timezone.localdate())
    context = {"place": "buyers", "form": form, "buyer": buyer, "since": since}
    return render(request, "sales/certificate_form.html", context)


@require_POST
@may_change
def certificate_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a certificate off."""
    certificate = get_object_or_404(Certificate, pk=pk)
    operations.remove_certificate(certificate=certificate, by=request.user)
    undo = reverse("sales:certificate-back", args=[pk])
    offer_undo(request, f"The certificate {certificate} is taken off.", undo)
    return go_to(request, "sales:buyer", certificate.buyer_id)


@require_POST
@may_change
def certificate_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a certificate back."""
    certificate = get_object_or_404(Certificate, pk=pk)
    operations.put_certificate_back(certificate=certificate, by=request.user)
    undo = reverse("sales:certificate-remove", args=[pk])
    offer_undo(request, f"The certificate {certificate} is back.", undo)
    return go_to(request, "sales:buyer", certificate.buyer_id)
