"""Every page asks for a login but those named here, and those keep no cookie."""

import pytest
from django.urls import URLPattern, get_resolver

from nursery.openly import is_open
from tests.browser.walking import DOORS, OPEN, SAY_NOTHING


def patterns(found=None):
    for pattern in found or get_resolver().url_patterns:
        if isinstance(pattern, URLPattern):
            yield pattern
        else:
            yield from patterns(pattern.url_patterns)


def test_the_pages_without_a_login_are_those_named():
    found = {one.name for one in patterns() if not getattr(one.callback, "login_required", True)}

    assert found == OPEN | DOORS | SAY_NOTHING


def test_the_pages_anyone_may_see_are_marked_so():
    assert {one.name for one in patterns() if is_open(one.callback)} == OPEN


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/list/", "/list/feed.atom", "/sitemap.xml", "/robots.txt"])
def test_an_open_page_sets_no_cookie_and_asks_for_none(client, address):
    answer = client.get(address)

    assert answer.status_code in (200, 404)
    assert not answer.cookies
    assert "Cookie" not in answer.get("Vary", "")
