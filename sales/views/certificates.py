"""A buyer's exemption certificates and their files: add one, take one off, put one back."""

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.kept_files import kept_file
from nursery.undo import offer_undo
from sales import operations
from sales.forms.certificates import CertificateFileForm, CertificateForm
from sales.models import Certificate, CertificateFile
from sales.queries.certificates import counts_back_to
from sales.views.buyers import buyer_at


@require_http_methods(["GET", "POST"])
def certificate_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down a buyer's certificate."""
    buyer = buyer_at(pk)
    form = CertificateForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        try:
            added = operations.add_certificate(buyer=buyer, by=request.user, **form.facts)
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
def certificate_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a certificate off."""
    certificate = get_object_or_404(Certificate, pk=pk)
    operations.remove_certificate(certificate=certificate, by=request.user)
    undo = reverse("sales:certificate-back", args=[pk])
    offer_undo(request, f"The certificate {certificate} is taken off.", undo)
    return go_to(request, "sales:buyer", certificate.buyer_id)


@require_POST
def certificate_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a certificate back."""
    certificate = get_object_or_404(Certificate, pk=pk)
    operations.put_certificate_back(certificate=certificate, by=request.user)
    undo = reverse("sales:certificate-remove", args=[pk])
    offer_undo(request, f"The certificate {certificate} is back.", undo)
    return go_to(request, "sales:buyer", certificate.buyer_id)


@require_safe
def certificate_file(request: HttpRequest, pk: int) -> FileResponse:
    """Answer with a file of a certificate, as what it is and under the certificate's number."""
    file = get_object_or_404(CertificateFile.objects.select_related("certificate"), pk=pk)
    path = kept_file(file.file)
    if not path.exists():
        raise Http404
    return FileResponse(path.open("rb"), filename=str(file))


@require_http_methods(["GET", "POST"])
def certificate_file_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a scan or a photo with a certificate."""
    certificate = get_object_or_404(Certificate.objects.select_related("buyer"), pk=pk)
    form = CertificateFileForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        try:
            file = operations.add_certificate_file(
                certificate=certificate, by=request.user, **form.facts
            )
        except LedgerError as error:
            form.refuse(error)
        else:
            undo = reverse("sales:certificate-file-remove", args=[file.pk])
            offer_undo(request, f"The file is kept with the certificate {certificate}.", undo)
            return go_to(request, "sales:buyer", certificate.buyer_id)
    context = {"place": "buyers", "form": form, "certificate": certificate}
    return render(request, "sales/certificate_file_form.html", context)


@require_POST
def certificate_file_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a file off a certificate."""
    file = get_object_or_404(CertificateFile.objects.select_related("certificate"), pk=pk)
    operations.remove_certificate_file(file=file, by=request.user)
    undo = reverse("sales:certificate-file-back", args=[pk])
    offer_undo(request, f"The file is off the certificate {file.certificate}.", undo)
    return go_to(request, "sales:buyer", file.certificate.buyer_id)


@require_POST
def certificate_file_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a file back with its certificate."""
    file = get_object_or_404(CertificateFile.objects.select_related("certificate"), pk=pk)
    operations.put_certificate_file_back(file=file, by=request.user)
    undo = reverse("sales:certificate-file-remove", args=[pk])
    offer_undo(request, f"The file is back with the certificate {file.certificate}.", undo)
    return go_to(request, "sales:buyer", file.certificate.buyer_id)
