"""Every address of the ledger, with the right things and the wrong things in its path."""

import re
from collections.abc import Iterator
from itertools import cycle, islice
from uuid import uuid4

from django.urls import URLPattern, get_resolver

from inventory import models as growing
from sales import models as selling
from tests.fuzz import MORE
from tests.fuzz.hostile import IN_PATHS

PART = re.compile(r"<(?:(?P<kind>\w+):)?(?P<name>\w+)>")
ROWS = {
    "lots": growing.Lot,
    "batches": growing.Batch,
    "plants": growing.Plant,
    "photos": growing.Photo,
    "entries": growing.Operation,
    "places": growing.Place,
    "containers": growing.Container,
    "supplies": growing.Supply,
    "supply-entries": growing.SupplyEntry,
    "people": growing.Person,
    "bills": growing.Bill,
    "paid-ahead": growing.PaidAhead,
    "targets": growing.Target,
    "methods": growing.Method,
    "steps": growing.MethodStep,
    "sprayings": growing.Spraying,
    "bench-notes": growing.BenchNote,
    "calendar": growing.CalendarLink,
    "notebook": growing.Operation,
    "stand": selling.StandDay,
    "stand-steps": selling.StandStep,
    "invoices": selling.Document,
    "shares": selling.SharedPaper,
    "payments": selling.Payment,
    "holds": selling.Hold,
    "hold-changes": selling.HoldChange,
    "buyers": selling.Buyer,
    "certificates": selling.Certificate,
    "certificate-files": selling.CertificateFile,
    "settings": selling.TaxRate,
    "labels": selling.LabelStock,
    "requests": selling.PlantRequest,
    "links": selling.BuyerLink,
}
KINDS = {
    "begin": ("stick", "sow", "receive", "opening"),
    "take-out": ("use", "give"),
    "account": ("use", "keep", "let-go", "take", "back"),
    "deposit": ("take", "back"),
    "recipes": ("stick", "pot_up"),
    "list": ("csv", "xlsx", "pdf"),
    "machines": ("cii", "ubl"),
}


def routes() -> list[str]:
    """Return the way each address of the ledger is written, with its <int:pk>."""
    return list(dict.fromkeys(_routes_of(get_resolver().url_patterns, "")))


def quick_routes() -> list[str]:
    """Leave out what is drawn, which takes long, unless more is asked for."""
    # Logging out would end the visit.
    drawn = (".svg", ".pdf", "logout/")
    return [route for route in routes() if not route.endswith(drawn[-1 if MORE > 1 else 0 :])]


def _routes_of(patterns, before) -> Iterator[str]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLPattern):
            yield route
        else:
            yield from _routes_of(pattern.url_patterns, route)


def right(route: str, which: int = 0) -> str:
    """Return an address of that route whose rows are there, as far as they can be known."""
    return "/" + PART.sub(lambda part: _right_part(route, part, which), route)


def wrong(route: str, values) -> Iterator[str]:
    """Yield addresses of the route with one value after the other in its path."""
    if not PART.search(route):
        return
    for value in values:
        yield "/" + PART.sub(lambda part, value=value: value, route)


def some_of(values, number: int, start: int) -> list:
    """Return so many of the values, beginning at another place for each start."""
    return list(islice(cycle(values), start % len(values), start % len(values) + number))


def _right_part(route, part, which) -> str:
    kind, name = part["kind"], part["name"]
    if kind == "uuid":
        draft = growing.ImportDraft.objects.first()
        is_price = route.startswith("prices")
        found = selling.Price.objects.first() if is_price else draft
        return str(getattr(found, "request_id", None) or getattr(found, "key", uuid4()))
    if kind == "int":
        return str(_right_number(route, name, which))
    if name == "token":
        return _right_token(route)
    if name == "name":
        photo = growing.Photo.objects.first()
        return photo.small if photo else "x"
    words = next((words for key, words in KINDS.items() if key in route), None)
    named = {"code": "2026-W20", "day": "2026-05-01", "stage": "rooting", "before": "5"}
    if words and name in ("kind", "syntax"):
        return words[which % len(words)]
    return named.get(name, "x")


def _right_number(route, name, which):
    by_name = {"container": growing.Container, "plant": growing.Plant, "step": growing.MethodStep}
    model = by_name.get(name) or ROWS.get(route.partition("/")[0])
    if name == "number" or model is None:
        return 1 + which
    keys = list(model.objects.order_by("pk").values_list("pk", flat=True)[:20])
    return keys[which % len(keys)] if keys else 1 + which


def _right_token(route):
    if route.startswith("calendar"):
        return _token_of(growing.CalendarLink)
    return _token_of(selling.BuyerLink if route.startswith("list") else selling.SharedPaper)


def _token_of(model):
    row = model.objects.first()
    return row.token if row else "x"


def wrong_values(number: int, start: int) -> list[str]:
    """Return so many values for a path."""
    return some_of(IN_PATHS, number, start)
