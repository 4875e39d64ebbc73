"""Write down what stands on the nursery's paper."""

import io
import re

from PIL import Image
from stdnum import bic as bank_codes
from stdnum import iban as accounts
from stdnum.exceptions import ValidationError as WrongNumber

from inventory.models import Nursery
from inventory.operations.posting import ledger_held
from nursery.address import EUROPEAN_UNION
from nursery.kept_files import keep_file
from nursery.pictures import UNREADABLE
from sales.errors import SaleRefused
from sales.models import Document

FACTS = (
    *("address", "street", "postcode", "city", "region", "country", "email", "phone", "web"),
    *("tax_id", "licence_name", "licence_number", "inspection_certificate"),
    *("iban", "bic", "bank", "terms", "paper", "language"),
    *("passport_country", "passport_registration"),
    *("receipt_prefix", "invoice_prefix", "credit_prefix"),
)
PREFIX = re.compile(r"(?:[A-Za-z]{1,6}-?)?")
LOGO_BYTES = 1024 * 1024
LOGO_PIXELS = 4000
LOGO_KINDS = {"PNG": "png", "JPEG": "jpg"}


@ledger_held()
def change_letterhead(*, logo: bytes | None = None, **facts: str) -> Nursery:
    """Write what documents issued from now on print. Those issued keep theirs.

    `logo` is a picture to be kept, b"" for none, None to leave it as it is. Raises
    SaleRefused for what is no account number, prefix, picture or EU registration.
    """
    nursery = Nursery.current()
    for name in FACTS:
        if name in facts:
            setattr(nursery, name, facts[name].strip())
    nursery.iban = _account(nursery.iban)
    nursery.bic = _bank_code(nursery.bic)
    _refuse_passport(nursery)
    for series in ("receipt", "invoice", "credit"):
        _refuse_prefix(f"{series}_prefix", getattr(nursery, f"{series}_prefix"))
    if logo is not None:
        nursery.logo = keep_file(logo, _kind_of(logo)) if logo else ""
    nursery.save()
    return nursery


def _account(iban):
    try:
        return accounts.validate(iban) if iban else ""
    except WrongNumber as error:
        raise SaleRefused(
            "These are not the letters of an IBAN: one is missing or wrong. Copy it from a "
            "statement of your bank; an account without IBAN goes below, in your own words.",
            field="iban",
        ) from error


def _bank_code(bic):
    try:
        return bank_codes.validate(bic) if bic else ""
    except WrongNumber as error:
        raise SaleRefused("A BIC has 8 or 11 letters and digits.", field="bic") from error


def _refuse_passport(nursery):
    country, registration = nursery.passport_country, nursery.passport_registration
    if bool(country) != bool(registration):
        field = "passport_registration" if country else "passport_country"
        raise SaleRefused("A registration has a number and a country: give both.", field=field)
    if country and country not in EUROPEAN_UNION:
        raise SaleRefused(
            "These passports are those of Regulation (EU) 2016/2031: choose a member state.",
            field="passport_country",
        )


def _refuse_prefix(field, prefix):
    if not PREFIX.fullmatch(prefix):
        raise SaleRefused(
            f"“{prefix}” cannot begin a number: up to six letters, and a hyphen after them if "
            "you like, as INV-.",
            field=field,
        )
    # Numbers that a ledger file brought along before such a series was known.
    stray = Document.objects.filter(series="", number__regex=rf"^{prefix}\d{{4}}-\d+$").first()
    if stray:
        raise SaleRefused(
            f"There is a document {stray} already that stands in no series. Choose letters "
            "that no number begins with.",
            field=field,
        )


def _kind_of(picture):
    """Return "png" or "jpg", by what is in the file and not by its name."""
    if len(picture) > LOGO_BYTES:
        raise SaleRefused("The picture is larger than 1 MB. Save it smaller.", field="logo")
    try:
        with Image.open(io.BytesIO(picture), formats=list(LOGO_KINDS)) as image:
            if max(image.size) > LOGO_PIXELS:
                raise SaleRefused(
                    f"The picture is {image.width} by {image.height} points; "
                    f"{LOGO_PIXELS} are enough for any paper.",
                    field="logo",
                )
            kind = LOGO_KINDS[image.format]
            image.verify()
    except (*UNREADABLE, Image.DecompressionBombError) as error:
        raise SaleRefused("This is no PNG or JPEG picture.", field="logo") from error
    return kind
