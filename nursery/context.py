"""Give every page the nursery, its currency, the five places and the last Undo."""

from contextlib import contextmanager
from typing import NamedTuple

from asgiref.local import Local
from babel.numbers import get_currency_symbol
from django.core.signals import request_finished, request_started
from django.db import DatabaseError
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject
from django.utils.translation import get_language, to_locale

from inventory.models import Nursery
from nursery.people.rights import may_open
from nursery.undo import take_undo


class Place(NamedTuple):
    """One of the five places that are always in reach, and the page on which it opens.

    Who may not open that page begins on the first other one that they may.
    """

    key: str
    word: str
    url_name: str
    others: tuple[str, ...] = ()


PLACES = (
    Place("today", "Today", "today"),
    Place("growing", "Growing", "inventory:growing"),
    Place("sell", "Sell", "sales:sell", ("sales:document-list", "sales:availability")),
    Place("buyers", "Buyers", "sales:buyers"),
    Place("books", "Books", "sales:books"),
)

# One question a request is enough; outside a request each asks anew, so nothing grows stale.
_request = Local()


def nursery(request: HttpRequest) -> dict:
    """Return what base.html needs; each is looked up only where a page shows it."""
    return {
        "nursery": SimpleLazyObject(current_nursery),
        "currency": SimpleLazyObject(current_currency),
        "currency_symbol": SimpleLazyObject(current_symbol),
        "places": SimpleLazyObject(lambda: places_of(request.user)),
        "undo": SimpleLazyObject(lambda: take_undo(request)),
    }


def places_of(user) -> list[Place]:
    """Return the places where a person may open a page, each with the page it opens on."""
    return [
        place._replace(url_name=name)
        for place in PLACES
        for name in [name for name in (place.url_name, *place.others) if may_open(user, name)][:1]
    ]


def current_nursery() -> Nursery:
    """Return the nursery, or an unsaved one while there is no database yet."""
    if not getattr(_request, "is_running", False):
        return _ask()
    if getattr(_request, "nursery", None) is None:
        _request.nursery = _ask()
    return _request.nursery


def current_currency() -> str:
    """Return the ISO 4217 code of the nursery's currency."""
    return current_nursery().currency


def current_symbol() -> str:
    """Return the sign of the nursery's currency as the reader writes it: $, €, kr."""
    return get_currency_symbol(current_currency(), locale=current_locale())


def current_locale() -> str:
    """Return the reader's locale by the name that Babel knows: en_US."""
    return to_locale(get_language() or "en")


@contextmanager
def asked_once():
    """Ask for the nursery once in the block, as a request does: for work outside of one."""
    if getattr(_request, "is_running", False):
        yield
        return
    _begin()
    try:
        yield
    finally:
        _end()


def ask_anew() -> None:
    """Forget what was asked in this request so far."""
    _request.nursery = None


def _ask() -> Nursery:
    try:
        return Nursery.current()
    except DatabaseError:
        return Nursery(name="")


def _begin(**_signal) -> None:
    _request.is_running, _request.nursery = True, None


def _end(**_signal) -> None:
    _request.is_running, _request.nursery = False, None


request_started.connect(_begin, dispatch_uid="nursery.context.begin")
request_finished.connect(_end, dispatch_uid="nursery.context.end")
