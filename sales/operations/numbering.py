"""Give documents numbers without gaps. Called with the ledger held."""

import re
from datetime import date

from django.db.models import Max

from sales.models import Document

OURS = re.compile(r"(?P<series>C?\d{4})-(?P<serial>\d{1,9})")


def next_number(kind: str, on: date) -> dict:
    """Return series, serial and number of the next document of that kind and year."""
    series = f"{'C' if kind == Document.Kind.CREDIT else ''}{on.year}"
    last = Document.objects.filter(series=series).aggregate(last=Max("serial"))["last"]
    serial = (last or 0) + 1
    return {"series": series, "serial": serial, "number": f"{series}-{serial:04d}"}


def given_number(number: str) -> dict:
    """Return series, serial and number of a document that brings its own number."""
    match = OURS.fullmatch(number)
    if not match:
        return {"series": "", "serial": None, "number": number}
    return {"series": match["series"], "serial": int(match["serial"]), "number": number}
