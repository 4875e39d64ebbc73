"""Write down what lets a buyer buy without sales tax."""

from datetime import date
from uuid import UUID, uuid5

from inventory.operations.posting import ledger_held
from sales.errors import SaleRefused
from sales.models import Buyer, Certificate
from sales.operations.certificate_files import add_certificate_file


def add_certificate(
    *,
    buyer: Buyer,
    number: str,
    valid_from: date,
    request_id: UUID,
    issuer: str = "",
    valid_until: date | None = None,
    content: bytes | None = None,
    by=None,
) -> Certificate:
    """Write down a buyer's certificate, with the `content` of its file where there is one.

    The same request again returns the first result.

    Documents already issued keep the tax they bear. Where two are in date, the one that
    begins last is printed. Raises SaleRefused without a number, or where it ends before it begins.
    """
    with ledger_held():
        done = Certificate.objects.filter(request_id=request_id).first()
        if done:
            return done
        _refuse_wrong(number.strip(), valid_from, valid_until)
        made = Certificate.objects.create(
            buyer=buyer,
            number=number.strip(),
            issuer=issuer.strip(),
            valid_from=valid_from,
            valid_until=valid_until,
            request_id=request_id,
        )
        if content is not None:
            file_request = uuid5(request_id, "file")
            add_certificate_file(certificate=made, content=content, request_id=file_request)
        return made


def _refuse_wrong(number, valid_from, valid_until):
    if not number:
        raise SaleRefused("Write the certificate's number.", field="number")
    if valid_until and valid_until < valid_from:
        raise SaleRefused(
            "It ends before it begins. Write a last day on or after the first, or leave it "
            "empty where it has no end.",
            field="valid_until",
        )


def remove_certificate(*, certificate: Certificate, by=None) -> None:
    """Take a certificate off: it exempts no sale from now on. `put_certificate_back` undoes it."""
    with ledger_held():
        Certificate.objects.filter(pk=certificate.pk).update(is_withdrawn=True)


def put_certificate_back(*, certificate: Certificate, by=None) -> None:
    """Put a certificate back that was taken off."""
    with ledger_held():
        Certificate.objects.filter(pk=certificate.pk).update(is_withdrawn=False)
