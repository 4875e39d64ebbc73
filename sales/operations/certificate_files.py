"""Keep a scan or a photo of a certificate with it."""

from uuid import UUID

from inventory.operations.posting import ledger_held
from nursery.kept_files import keep_file
from sales.errors import SaleRefused
from sales.models import Certificate, CertificateFile

MOST_BYTES = 5 * 1024 * 1024
# How such files begin: ISO 32000 (PDF), ISO/IEC 10918 (JPEG), ISO/IEC 15948 (PNG).
BEGINS = {b"%PDF-": "pdf", b"\xff\xd8\xff": "jpg", b"\x89PNG\r\n\x1a\n": "png"}


def add_certificate_file(
    *, certificate: Certificate, content: bytes, request_id: UUID, by=None
) -> CertificateFile:
    """Keep a file with a certificate. The same request again returns the first result.

    What it is is told by how it begins, never by its name. Raises SaleRefused for what is no
    PDF, JPEG or PNG, or larger than 5 MB.
    """
    with ledger_held():
        done = CertificateFile.objects.filter(request_id=request_id).first()
        if done:
            return done
        kind = _kind_of(content)
        return CertificateFile.objects.create(
            certificate=certificate, file=keep_file(content, kind), request_id=request_id
        )


def remove_certificate_file(*, file: CertificateFile, by=None) -> None:
    """Take a file off its certificate; `put_certificate_file_back` undoes it."""
    with ledger_held():
        CertificateFile.objects.filter(pk=file.pk).update(is_withdrawn=True)


def put_certificate_file_back(*, file: CertificateFile, by=None) -> None:
    """Put a file back with its certificate."""
    with ledger_held():
        CertificateFile.objects.filter(pk=file.pk).update(is_withdrawn=False)


def _kind_of(content):
    if len(content) > MOST_BYTES:
        raise SaleRefused(
            "The file is larger than 5 MB. Scan it in grey, or take the photo smaller.",
            field="file",
        )
    kind = next((kind for begin, kind in BEGINS.items() if content.startswith(begin)), None)
    if kind is None:
        raise SaleRefused(
            "This is no PDF, JPEG or PNG, whatever its name ends with. Save it as one of them.",
            field="file",
        )
    return kind
