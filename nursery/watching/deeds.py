"""Write down who did what.

A deed is written right after what it tells of was committed, in a transaction of its own,
and does not wait for the disk: a power cut may cost the last deeds, never an entry, and an
entry names by itself who made it. In return no verb needs to know that there is a record,
and a sale takes no longer.
"""

import logging
from collections.abc import Mapping
from contextlib import contextmanager
from urllib.parse import urlsplit

from django.db import DatabaseError, connection, transaction
from django.http import HttpRequest, HttpResponse
from django.urls import Resolver404, resolve

from nursery.models import Deed
from nursery.watching.passing import Passing, passing
from nursery.watching.words import BY_SIGNAL, words_of

log = logging.getLogger(__name__)


def record(*, kind: str, what: str, **more) -> None:
    """Write one deed of the request under way, or of a command where there is none.

    `more` may name `by` or `by_id`, `about`, `refused` and `machine_user`. A record that
    cannot be written is told in the log; what was done is done, and is not refused for it.
    """
    known = passing()
    facts = {"reference": known.reference, "by_id": known.account} if known else {}
    if "by" in more:
        facts.pop("by_id", None)
    try:
        with _without_waiting():
            Deed(kind=kind, what=what[:80], **facts | more).save(force_insert=True)
    except DatabaseError:
        log.exception("the record of who did what lacks: %s", what)


def record_request(request: HttpRequest, response: HttpResponse, known: Passing) -> None:
    """Write what a request changed, if it changed anything, or that it was refused."""
    match = request.resolver_match
    if match is None or match.view_name in BY_SIGNAL:
        return
    refused = response.status_code == 403 and known.account is not None
    if not known.has_written and not refused:
        return
    kind, what = words_of(match.view_name)
    about = _about(request, response)
    record(kind=kind, what=what, about=about, refused=refused and not known.has_written)


def record_export(request: HttpRequest, known: Passing) -> None:
    """Write that a list was taken away as a file."""
    record(kind=Deed.Kind.FILES, what="took a list away as a file", about=request.path[:200])


def _about(request, response) -> str:
    """Return the page of what was changed: where the answer leads, else where it was sent."""
    led = response.headers.get("HX-Redirect") or response.headers.get("Location") or ""
    return _path_of_one(urlsplit(led).path) or _path_of_one(request.path)


def _path_of_one(path: str) -> str:
    """Return a path that leads to one thing by its number, and no other."""
    try:
        named: Mapping = resolve(path).kwargs if path else {}
    except Resolver404:
        named = {}
    return path[:200] if named and set(named) <= {"pk", "kind"} and "pk" in named else ""


@contextmanager
def _without_waiting():
    """Commit in the block without waiting until the disk has it; outside a transaction only."""
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "postgresql":
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET LOCAL synchronous_commit TO off")
            yield
    else:
        with connection.cursor() as cursor:
            usual = cursor.execute("PRAGMA synchronous").fetchone()[0]
            cursor.execute("PRAGMA synchronous=NORMAL")
            try:
                yield
            finally:
                cursor.execute(f"PRAGMA synchronous={usual}")
