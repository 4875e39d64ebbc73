"""What every answer tells the browser, whatever is answered."""

import json
import re
import subprocess
import sys
from uuid import UUID

import pytest
from django.urls import URLPattern, get_resolver

from nursery.bootstrap import ROOT
from nursery.watching.middleware import REFERENCE
from tests.browser.walking import FETCHED
from tests.factories import UserFactory
from tests.served import surroundings_of

# What stands for each part of an address; whether anything is there does not matter here.
PARTS = {"int": "1", "str": "x", "slug": "use", "path": "x", "uuid": str(UUID(int=1))}
ALWAYS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def addresses(patterns=None, before=""):
    """Yield the name and an address of each pattern."""
    for one in patterns or get_resolver().url_patterns:
        here = f"{before}{one.pattern}"
        if isinstance(one, URLPattern):
            filled = re.sub(r"<(?:(\w+):)?\w+>", lambda part: PARTS[part[1] or "str"], here)
            yield one.name, f"/{filled}"
        else:
            yield from addresses(one.url_patterns, here)


def lacks(headers):
    """Name the headers that an answer lacks or gets wrong."""
    wrong = [name for name, value in ALWAYS.items() if headers.get(name) != value]
    policy = headers.get("Content-Security-Policy", "")
    for part in ("default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'"):
        wrong += [] if part in policy else [part]
    if re.search(r"unsafe|\*|http|data:", policy):
        wrong.append(policy)
    for name in ("Cache-Control", "Referrer-Policy", "Permissions-Policy", REFERENCE):
        wrong += [] if headers.get(name) else [name]
    return wrong


@pytest.mark.django_db
def test_every_address_answers_a_stranger_with_every_header(client):
    """What those who are logged in are answered, the walk of tests/browser looks at."""
    UserFactory()
    answers = {address: client.get(address) for _, address in addresses()}
    wrong = {
        address: found for address, answer in answers.items() if (found := lacks(answer.headers))
    }

    assert len(answers) > 200 and not wrong
    assert not [address for address, answer in answers.items() if answer.status_code >= 500]


@pytest.mark.django_db
def test_what_the_stand_fetches_has_every_header_and_its_script_may_ask_the_ledger(client):
    client.force_login(UserFactory(role="seller"))
    answers = [client.get(address) for name, address in addresses() if name in FETCHED]
    script = client.get("/stand-worker.js")

    assert len(answers) == len(FETCHED) and not any(lacks(answer.headers) for answer in answers)
    assert "connect-src 'self'" in script["Content-Security-Policy"]
    assert "script-src 'self'" not in client.get("/stand.webmanifest")["Content-Security-Policy"]


@pytest.mark.django_db
@pytest.mark.parametrize("method", ["TRACE", "OPTIONS", "PUT", "DELETE", "PROPFIND"])
def test_a_method_that_no_page_knows_reaches_none(client, method):
    answer = client.generic(method, "/accounts/login/")

    assert answer.status_code == 405 and answer["Allow"] == "GET, HEAD, POST"
    assert not lacks(answer.headers)


@pytest.mark.django_db
def test_a_page_of_people_is_in_no_shared_cache_and_the_browser_forgets_it_at_logout(client):
    client.force_login(UserFactory(is_superuser=True))
    pages = ("/", "/buyers/", "/lots/?_export=csv")

    kept = [client.get(address)["Cache-Control"] for address in pages]
    left = client.post("/accounts/logout/")

    assert kept == ["private, no-cache"] * 3
    assert left["Clear-Site-Data"] == '"cache"'


@pytest.mark.django_db
@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "a@evil.example"])
def test_a_host_that_nobody_named_is_answered_with_nothing(client, host):
    assert client.get("/accounts/login/", headers={"host": host}).status_code == 400


@pytest.mark.django_db
@pytest.mark.parametrize(
    "way", ["https://evil.example/", "//evil.example", "/\\evil.example", "javascript:alert(1)"]
)
def test_login_leads_to_no_other_site(client, way):
    ann = UserFactory()
    typed = {"username": ann.username, "password": "cuttings-in-june", "next": way}

    answer = client.post("/accounts/login/", typed)

    assert answer.status_code == 302 and answer.url == "/"


def behind_tls(code, folder):
    """Run a line of Python in a ledger that a proxy serves by https, and return what it prints."""
    kept = {"NURSERY_BEHIND_TLS": "1", "NURSERY_HOSTS": "ledger.example"}
    prepared = "import django; django.setup(); from django.conf import settings; "
    prepared += "from django.test import Client; import json; print(json.dumps("
    run = subprocess.run(
        [sys.executable, "-c", f"{prepared}{code}))"],
        env=surroundings_of(folder) | kept | {"DJANGO_SETTINGS_MODULE": "nursery.settings"},
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout.splitlines()[-1])


def test_behind_https_cookies_are_bound_to_the_host_and_http_is_left(tmp_path):
    of_cookies = ["NAME", "SECURE", "HTTPONLY", "SAMESITE", "PATH", "DOMAIN"]
    told = behind_tls(
        f"[[getattr(settings, kind + '_COOKIE_' + what) for what in {of_cookies}] "
        "for kind in ('SESSION', 'CSRF')] "
        "+ [dict(Client(headers={'host': 'ledger.example', 'x-forwarded-proto': proto})"
        ".trace('/').headers) for proto in ('https', 'http')]",
        tmp_path,
    )

    session, csrf, by_https, by_http = told
    assert session == ["__Host-sessionid", True, True, "Lax", "/", None]
    # The stand's script reads this one, to send what waited for signal.
    assert csrf == ["__Host-csrftoken", True, False, "Lax", "/", None]
    assert by_https["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains; preload"
    assert by_http["Location"] == "https://ledger.example/"
