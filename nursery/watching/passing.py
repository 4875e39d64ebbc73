"""What is known of the request that this thread is answering."""

import re
import secrets
from contextvars import ContextVar
from dataclasses import dataclass, field

from django.conf import settings
from django.http import HttpRequest

# No letter or digit here is taken for another when it is read out on the telephone.
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
LENGTH = 12
WELL_FORMED = re.compile(r"[A-Za-z0-9-]{8,36}")


def new_reference() -> str:
    """Return twelve letters and digits that no other request has had."""
    return "".join(secrets.choice(LETTERS) for _ in range(LENGTH))


@dataclass(slots=True)
class Passing:
    """A request on its way: its reference, its route, whose it is, what it asked and wrote."""

    reference: str = field(default_factory=new_reference)
    route: str = ""
    account: int | None = None
    questions: int = 0
    asked_seconds: float = 0.0
    has_written: bool = False

    def write(self) -> None:
        """Note that something was committed."""
        self.has_written = True


_passing: ContextVar[Passing | None] = ContextVar("passing", default=None)
begin, end = _passing.set, _passing.reset


def passing() -> Passing | None:
    """Return what is known of the request under way, or None outside of one."""
    return _passing.get()


def known_as(user) -> None:
    """Note whose request is under way."""
    if found := _passing.get():
        found.account = user.pk


def reference() -> str:
    """Return the reference of the request under way, or nothing outside of one."""
    found = _passing.get()
    return found.reference if found else ""


def reference_from(request: HttpRequest) -> str:
    """Return the reference that our own proxy gave a request, else a new one.

    Without a proxy the visitor could choose it, and make two requests look like one.
    """
    told = request.headers.get("X-Request-ID", "") if settings.BEHIND_TLS else ""
    return told if WELL_FORMED.fullmatch(told) else new_reference()


def route_of(request: HttpRequest) -> str:
    """Return the name of the address asked, never the address: it may hold a secret."""
    found = request.resolver_match
    return (found.view_name or "unnamed") if found else "nowhere"
