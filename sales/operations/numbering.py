"""Give documents numbers without gaps. Used with the ledger held."""

import re
from collections.abc import Iterable
from datetime import date

from django.db.models import Max

from sales.models import Document

# Letters that the owner chose for the series, the year, the number in the series.
OURS = re.compile(r"(?P<series>(?:[A-Za-z]{1,6}-?)?\d{4})-(?P<serial>\d{4,9})")


class Numbers:
    """The numbers that come next, by series.

    `taken` are numbers that documents about to be issued bring along.
    """

    def __init__(self, taken: Iterable[str] = ()):
        self.last: dict[str, int] = {}
        for number in taken:
            given = given_number(number)
            series, serial = given["series"], given["serial"] or 0
            self.last[series] = max(serial, self.last.get(series, 0))
        for series in list(self.last):
            self.last[series] = max(self.last[series], _last_issued(series))

    def next(self, prefix: str, on: date) -> dict:
        """Return series, serial and number of the next document with that prefix and year."""
        series = f"{prefix}{on.year}"
        if series not in self.last:
            self.last[series] = _last_issued(series)
        self.last[series] += 1
        serial = self.last[series]
        return {"series": series, "serial": serial, "number": written(series, serial)}


def written(series: str, serial: int) -> str:
    """Return a number as it stands on paper: INV-2026-0001."""
    return f"{series}-{serial:04d}"


def given_number(number: str) -> dict:
    """Return series, serial and number of a document that brings its own number."""
    match = OURS.fullmatch(number)
    if not match or number != written(match["series"], int(match["serial"])):
        return {"series": "", "serial": None, "number": number}
    return {"series": match["series"], "serial": int(match["serial"]), "number": number}


def _last_issued(series):
    last = Document.objects.filter(series=series).aggregate(last=Max("serial"))["last"]
    return last or 0
