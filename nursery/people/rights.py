"""One table of what every address asks, and the keeper that asks it before any view runs.

An address that does not stand here is refused to everybody, so a new page says first who may
open it. What an app's pages ask is written in its own rights_of_pages.py.
"""

from collections.abc import Callable
from functools import lru_cache

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.urls import Resolver404, resolve

from inventory import rights_of_pages as inventory
from inventory.rights_of_pages import SETTLE, STOCK, SUBSCRIBE
from nursery.people.asking import (
    ANYONE,
    SIGNED_IN,
    Asks,
    Right,
    entering,
    named,
    reading,
)
from sales import rights_of_pages as sales

DOORS = Right("nursery.delete_login", "say who is logged in")
DEEDS = Right("nursery.view_deed", "see who did what")
PEOPLE = Right("auth.change_user", "say who may log in and do what")

OF_THE_HOUSE = {
    entering(ANYONE): "welcome login login-code logout helper-join",
    reading(ANYONE): "robots sitemap calendar-read health",
    reading(DEEDS): "deed-list",
    reading(SIGNED_IN): "help first-season your-account",
    entering(SIGNED_IN): (
        "password second-step recovery-codes second-step-off login-end logins-end"
    ),
    reading(DOORS): "doors",
    Asks(read=DOORS, write=DOORS): "doors-end doors-let-in step-asked step-left",
    reading(STOCK): "today calendar calendar-file",
    entering(SUBSCRIBE): "calendar-link calendar-renew calendar-stop calendar-back",
    Asks(read=STOCK, write=SETTLE): "settings",
    reading(PEOPLE): "helper-list",
    entering(PEOPLE): "helper-add helper-link helper-role helper-out helper-back",
    entering(SETTLE): "first-season-put-away first-season-back",
}

PAGES: dict[str, Asks] = {**named("", OF_THE_HOUSE), **inventory.PAGES, **sales.PAGES}


def may(user: AbstractBaseUser | AnonymousUser, right: Right) -> bool:
    """Say whether a person has a right. An owner has all, even those that no role is given."""
    if right == ANYONE:
        return True
    return user.is_authenticated if right == SIGNED_IN else user.has_perm(right)


def may_go(user: AbstractBaseUser | AnonymousUser, address: str, method: str = "GET") -> bool:
    """Say whether a person may open an address of the ledger, or send to it.

    What the ledger does not serve as a page, such as a style sheet, is nobody's secret.
    """
    name = _name_at(address.partition("?")[0].partition("#")[0])
    return name is None or (name in PAGES and may(user, PAGES[name].of(method)))


def may_open(user: AbstractBaseUser | AnonymousUser, name: str) -> bool:
    """Say whether a person may open the page of that name."""
    return name in PAGES and may(user, PAGES[name].read)


@lru_cache(maxsize=4096)
def _name_at(path: str) -> str | None:
    try:
        return resolve(path).view_name
    except Resolver404:
        return None


class AskForTheRight:
    """Refuse a page, before its view runs, to who lacks the right that it asks."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request, view, arguments, named_arguments):
        """Let the view run, or raise PermissionDenied with what is lacking."""
        asks = PAGES.get(request.resolver_match.view_name)
        if asks is None:
            raise PermissionDenied("open a page of which nobody said who may")
        right = asks.of(request.method)
        # An open page asks nothing of its visitor, not even who it is.
        if right != ANYONE and not may(request.user, right):
            raise PermissionDenied(right.words)
