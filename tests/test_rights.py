"""Who may open what: the table names every address, and every answer obeys it."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.test import RequestFactory
from django.urls import URLPattern, get_resolver

from nursery.people.asking import ANYONE, SIGNED_IN, named, reading
from nursery.people.rights import PAGES, AskForTheRight, may_go
from nursery.people.roles import MAY, Role, role_of
from tests.factories import UserFactory, lot_holding


class Found:
    """What the resolver would find at an address."""

    def __init__(self, name):
        self.view_name = name


def addresses(patterns=None, app=""):
    """Yield the name and the view of every address, with the name of its app before it."""
    for one in patterns or get_resolver().url_patterns:
        if isinstance(one, URLPattern):
            yield f"{app}{one.name}", one.callback
        else:
            inside = f"{one.namespace}:" if one.namespace else app
            yield from addresses(one.url_patterns, inside)


def is_refused(user, name, method):
    """Say whether the keeper refuses, without running the view."""
    request = RequestFactory().generic(method, "/")
    request.user, request.resolver_match = user, Found(name)
    try:
        return AskForTheRight(None).process_view(request, None, (), {}) is not None
    except PermissionDenied:
        return True


def test_every_address_says_who_may_open_it_and_none_is_named_that_is_not_there():
    assert {name for name, _ in addresses()} == set(PAGES)


def test_what_asks_no_login_is_what_the_table_leaves_open():
    no_login = {name for name, view in addresses() if not getattr(view, "login_required", True)}
    doors = {"login"}  # Django's own view, which its middleware knows

    assert no_login | doors == {name for name, asks in PAGES.items() if asks.read == ANYONE}


def test_an_address_stands_once_in_a_table():
    with pytest.raises(ValueError, match="lot stands twice"):
        named("", {reading(ANYONE): "lot", reading(SIGNED_IN): "lot"})


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role)
def test_a_role_is_refused_exactly_what_it_lacks_the_right_to(role):
    owner = role == Role.OWNER
    user = UserFactory(is_superuser=owner, role=role)
    has = MAY.get(role, set()) | {ANYONE, SIGNED_IN}

    for name, asks in PAGES.items():
        assert is_refused(user, name, "GET") == (not owner and asks.read not in has), name
        assert is_refused(user, name, "POST") == (not owner and asks.write not in has), name
    assert role_of(user) == role


@pytest.mark.django_db
def test_an_address_that_nobody_wrote_down_is_refused_even_to_an_owner():
    assert is_refused(UserFactory(is_superuser=True), "sales:till-drawer", "GET")


# What each role is told in README.md, written here by hand and not from the table.
SAMPLES = {
    "grower": (
        "/ /lots/ /batches/ /supplies/ /bills/ /write-off/ /targets/ /methods/ /availability/ "
        "/begin/stick/ /books/losses/ /labels/ /notebook/",
        "/sell/ /buyers/ /prices/ /invoices/ /invoices/owed/ /holds/ /stand/ /books/ "
        "/books/margin/ /books/year/ /books/valuation/ /settings/tax/ /settings/paper/",
    ),
    "seller": (
        "/ /sell/ /holds/ /stand/ /buyers/ /invoices/ /invoices/owed/ /prices/ /labels/ "
        "/availability/ /lots/ /requests/ /buyers/add/ /holds/new/",
        "/supplies/ /bills/ /people/ /recipes/ /books/ /books/margin/ /books/losses/ "
        "/books/journal/ /batches/ /rooting/ /write-off/ /begin/stick/ /targets/ "
        "/settings/paper/ /settings/list/",
    ),
    "viewer": (
        "/ /lots/ /batches/ /supplies/ /bills/ /people/ /buyers/ /invoices/ /prices/ /holds/ "
        "/stand/ /books/ /books/margin/ /books/journal/ /books/year/ /settings/tax/ /targets/",
        "/sell/ /write-off/ /begin/stick/ /buyers/add/ /holds/new/ /bills/add/ /settings/paper/",
    ),
}


@pytest.mark.django_db
@pytest.mark.parametrize("role", SAMPLES)
def test_a_role_opens_what_it_was_promised_and_no_more(client, role):
    client.force_login(UserFactory(role=role))
    opened, refused = (addresses.split() for addresses in SAMPLES[role])

    answers = {address: client.get(address).status_code for address in [*opened, *refused]}

    assert [one for one in opened if answers[one] not in (200, 302)] == []
    assert [one for one in refused if answers[one] != 403] == []


@pytest.mark.django_db
def test_a_viewer_writes_nothing_and_a_person_without_a_role_opens_nothing():
    viewer, nobody = UserFactory(role="viewer"), UserFactory(role="")
    doors = {"login", "login-code", "logout", "welcome", "helper-join"}
    doors |= {"sales:public-ask", "sales:buyer-ask"}
    doors |= {"password", "second-step", "recovery-codes", "second-step-off"}
    doors |= {"login-end", "logins-end"}

    assert {name for name in PAGES if not is_refused(viewer, name, "POST")} == doors
    free = {name for name, asks in PAGES.items() if asks.read in (ANYONE, SIGNED_IN)}
    assert {name for name in PAGES if not is_refused(nobody, name, "GET")} == free


@pytest.mark.django_db
def test_the_refusal_comes_before_the_view_and_says_what_is_lacking(client):
    lot = lot_holding(5)
    client.force_login(UserFactory(role="seller"))

    answer = client.post(f"/lots/{lot.pk}/move/", {"place": 1})

    assert answer.status_code == 403
    assert "A seller may not enter what happens to plants." in answer.text
    assert client.post("/entries/99/undo/").status_code == 403
    assert client.get("/lots/?_export=csv").status_code == 200
    assert client.get("/supplies/?_export=csv").status_code == 403


@pytest.mark.django_db
def test_nobody_who_is_not_logged_in_is_told_more_than_where_the_door_is(client):
    UserFactory()

    for address in ("/", "/sell/", "/books/margin/", "/lots/1/", "/people/", "/sell/data.json"):
        assert client.get(address).url == f"/accounts/login/?next={address}"
    assert not may_go(AnonymousUser(), "/books/")
    assert may_go(AnonymousUser(), "/list/") and may_go(AnonymousUser(), "/static/css/base.css")
