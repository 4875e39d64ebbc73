"""A certificate's scan or photo: kept by what is in it, opened only by those who may."""

import io
from uuid import uuid4

import pytest
from django.contrib.auth.models import Permission
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from nursery.kept_files import kept_file
from sales import operations
from sales.errors import SaleRefused
from sales.models import Certificate, CertificateFile
from tests.factories import BuyerFactory, NurseryFactory, UserFactory, exempt_buyer

pytestmark = pytest.mark.django_db


def picture(kind):
    out = io.BytesIO()
    Image.new("RGB", (4, 4)).save(out, kind)
    return out.getvalue()


FILES = {"pdf": b"%PDF-1.7\n...", "jpg": picture("JPEG"), "png": picture("PNG")}
TYPES = {"pdf": "application/pdf", "jpg": "image/jpeg", "png": "image/png"}


@pytest.fixture
def office(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def sent(client, certificate, content, name="scan.exe"):
    address = reverse("sales:certificate-file-add", args=[certificate.pk])
    typed = {"file": SimpleUploadedFile(name, content), "request_id": str(uuid4())}
    return client.post(address, typed, follow=True).content.decode()


def kept(certificate, **more):
    facts = {"certificate": certificate, "content": FILES["pdf"], "request_id": uuid4()}
    return operations.add_certificate_file(**(facts | more))


@pytest.mark.parametrize("ending", FILES)
def test_a_file_is_kept_and_opened_as_what_it_is(office, ending):
    certificate = exempt_buyer(number="E/17").certificates.get()

    page = sent(office, certificate, FILES[ending])

    shown = office.get(reverse("sales:certificate-file", args=[CertificateFile.objects.get().pk]))
    assert shown.wsgi_request.path in page and "Undo" in page
    assert b"".join(shown.streaming_content) == FILES[ending]
    assert shown.headers["Content-Type"] == TYPES[ending]
    assert shown.headers["X-Content-Type-Options"] == "nosniff"
    assert shown.headers["Content-Disposition"] == f'inline; filename="E-17.{ending}"'


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"<html>%PDF-1.7", "no PDF, JPEG or PNG"),
        (picture("GIF"), "no PDF, JPEG or PNG"),
        (b"%PDF-" + b"x" * (5 * 1024 * 1024), "larger than 5 MB"),
        (b"", "empty"),
    ],
    ids=["html", "gif", "large", "empty"],
)
def test_what_is_no_such_file_is_refused(office, content, said):
    assert said in sent(office, exempt_buyer().certificates.get(), content, "scan.pdf")
    assert not CertificateFile.objects.exists()


def test_a_certificate_comes_with_its_file_or_keeps_what_was_typed(office):
    address = reverse("sales:certificate-add", args=[BuyerFactory(tax_exempt=True).pk])
    typed = {"number": "E-17", "valid_from": "2026-04-01", "request_id": str(uuid4())}

    refused = office.post(address, typed | {"file": SimpleUploadedFile("a.pdf", b"words")})
    late = {"valid_until": "2026-03-31", "file": SimpleUploadedFile("a.pdf", FILES["pdf"])}
    again = office.post(address, typed | late).content.decode()

    assert 'value="E-17"' in refused.content.decode() and not Certificate.objects.exists()
    assert "ends before it begins" in again and "Choose the file again" in again
    office.post(address, typed | {"file": SimpleUploadedFile("a.pdf", FILES["pdf"])})
    assert CertificateFile.objects.get().certificate.number == "E-17"


def test_a_second_press_keeps_one_and_undo_takes_it_off_and_puts_it_back(office):
    buyer = exempt_buyer()
    certificate, request_id = buyer.certificates.get(), uuid4()
    first = kept(certificate, request_id=request_id)
    assert kept(certificate, request_id=request_id) == first
    link = f'href="{reverse("sales:certificate-file", args=[first.pk])}"'

    def page_after(name):
        return office.post(reverse(f"sales:{name}", args=[first.pk]), follow=True).content.decode()

    assert link not in page_after("certificate-file-remove")
    assert link in page_after("certificate-file-back")
    assert kept_file(first.file).exists()


def test_a_file_gone_from_the_folder_is_not_found(office):
    file = kept(exempt_buyer().certificates.get())
    kept_file(file.file).unlink()

    assert office.get(reverse("sales:certificate-file", args=[file.pk])).status_code == 404


def test_only_who_may_see_buyers_opens_it_and_only_who_may_change_them_adds_one(client):
    file = kept(exempt_buyer().certificates.get())
    address = reverse("sales:certificate-file", args=[file.pk])
    assert client.get(address).status_code == 302
    user = UserFactory(role="grower")
    client.force_login(user)

    assert client.get(address).status_code == 403
    assert client.get(reverse("sales:certificate-file-add", args=[1])).status_code == 403
    for name in ("remove", "back"):
        posted = client.post(reverse(f"sales:certificate-file-{name}", args=[file.pk]))
        assert posted.status_code == 403
    user.user_permissions.add(Permission.objects.get(codename="view_buyer"))
    assert b"".join(client.get(address).streaming_content) == FILES["pdf"]


def test_the_verb_refuses_what_no_form_sent():
    with pytest.raises(SaleRefused, match="no PDF, JPEG or PNG"):
        kept(exempt_buyer().certificates.get(), content=b"MZ")
