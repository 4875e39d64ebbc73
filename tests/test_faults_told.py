"""What a person reads when a page cannot be shown, and what the log keeps of it."""

import json
import logging
import re
import sqlite3
from uuid import uuid4

import psycopg
import pytest
from django.db import OperationalError, connection

from nursery.watching import faults, log
from nursery.watching.faults import fault_of
from tests.factories import NurseryFactory, UserFactory

TELLS_TOO_MUCH = re.compile(r"Traceback|sqlite|psycopg|SELECT|/nowhere|site-packages|\.py\b", re.I)


@pytest.fixture
def owner(client):
    NurseryFactory()
    client.force_login(UserFactory(username="owner", is_superuser=True))
    client.raise_request_exception = False
    return client


@pytest.fixture
def no_database(transactional_db, owner):
    """Point the ledger at a database that is not there."""
    connection.close()
    usual = dict(connection.settings_dict)
    gone = {"NAME": "/nowhere/ledger.sqlite3"}
    connection.settings_dict |= gone if connection.vendor == "sqlite" else {"PORT": "1"}
    yield owner
    connection.close()
    connection.settings_dict |= usual


@pytest.mark.parametrize(
    ("ask", "fault"),
    [
        (lambda client: client.get("/nothing-here/"), faults.NOT_HERE),
        (lambda client: client.get("/entries/1/undo/"), faults.NOT_THIS_WAY),
        (lambda client: client.get("/", headers={"host": "other.example"}), faults.NOT_UNDERSTOOD),
    ],
)
@pytest.mark.django_db
def test_a_page_that_cannot_be_shown_says_what_to_do(owner, ask, fault):
    answer = ask(owner)
    page = answer.content.decode()

    assert answer.status_code == fault.status
    assert fault.title in page
    assert fault.then in page
    assert answer["X-Request-ID"] in page


@pytest.mark.django_db
def test_a_form_from_elsewhere_is_told_in_words(client):
    client.handler.enforce_csrf_checks = True

    answer = client.post("/accounts/login/", {"username": "x"})

    assert (answer.status_code, faults.FORM_TOO_OLD.title in answer.content.decode()) == (403, True)


def test_without_a_database_every_page_says_so(no_database, caplog):
    answers = [no_database.get("/"), no_database.post("/settings/", {"name": "Typed"})]

    for answer in answers:
        page = answer.content.decode()
        assert answer.status_code == 503
        assert "The database does not answer" in page
        assert not TELLS_TOO_MUCH.search(page)
        assert answer["Retry-After"]
    assert no_database.get("/health/").json()["checks"]["database"] == "down"
    assert any(line.exc_info for line in caplog.records), "the log has the trace"


def test_htmx_is_told_beside_the_form_that_is_open(no_database):
    answer = no_database.post("/sell/", {}, headers={"HX-Request": "true"})

    assert answer.status_code == 503
    assert answer["HX-Retarget"] == ".said"
    assert "<html" not in answer.content.decode()


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_a_ledger_held_for_too_long_asks_to_try_again(owner):
    options = connection.settings_dict["OPTIONS"]
    connection.close()
    connection.settings_dict["OPTIONS"] = options | {"timeout": 0.1}
    other = sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)
    other.execute("BEGIN IMMEDIATE")

    typed = {"name": "Zinnia House", "kind": "house", "request_id": str(uuid4())}
    answer = owner.post("/places/add/", typed)

    other.close()
    connection.close()
    connection.settings_dict["OPTIONS"] = options
    assert answer.status_code == 503
    assert faults.BUSY.title in answer.content.decode()


@pytest.mark.parametrize(
    ("cause", "fault"),
    [
        (psycopg.errors.DeadlockDetected(), faults.BUSY),
        (psycopg.errors.LockNotAvailable(), faults.BUSY),
        (psycopg.errors.DiskFull(), faults.FULL),
        (psycopg.errors.AdminShutdown(), faults.NO_ANSWER),
        (psycopg.errors.ReadOnlySqlTransaction(), faults.NO_ANSWER),
        (psycopg.OperationalError("server closed the connection"), faults.NO_ANSWER),
        (psycopg.errors.UndefinedColumn(), faults.BROKEN),
    ],
)
def test_postgresql_says_what_went_wrong(cause, fault):
    error = OperationalError("secret")
    error.__cause__ = cause

    assert fault_of(error) is fault


def line_of(form, message, *args, **facts):
    record = logging.LogRecord("nursery", logging.INFO, "", 0, message, args, None)
    record.facts = facts
    return form.format(record)


def test_no_input_can_forge_a_line_of_the_log():
    evil = "x\n2026-11-25 INFO nursery: logged in\u2028\x1b[2J\r"

    for form in (log.Line(), log.Json()):
        lines = line_of(form, "seen %s", evil, who=evil)
        assert lines.isprintable()
    assert json.loads(line_of(log.Json(), "seen %s", evil))["message"] == f"seen {evil}"


def test_a_trace_is_set_in_and_keeps_to_its_line():
    try:
        raise ValueError("one\n2026-11-25 INFO forged")
    except ValueError as error:
        record = logging.LogRecord(
            "nursery", 40, "", 0, "broke", (), (type(error), error, error.__traceback__)
        )

    first, *rest = log.Line().format(record).splitlines()
    assert "broke" in first
    assert all(line.startswith("    | ") for line in rest)


@pytest.mark.django_db
def test_an_address_with_a_secret_never_comes_into_the_log(client, caplog, settings):
    caplog.set_level(logging.DEBUG)
    caplog.handler.addFilter(logging.getLogger("django").handlers[0].filters[0])

    client.get("/r/a-secret-token/?key=another-secret")
    client.get("/calendar/of/a-secret-token.ics", headers={"X-Request-ID": "chosen-by-a-visitor"})
    settings.BEHIND_TLS = True
    answer = client.get("/list/", secure=True, headers={"X-Request-ID": "given-by-our-proxy"})

    assert "secret" not in caplog.text
    assert "chosen" not in caplog.text
    assert answer["X-Request-ID"] == "given-by-our-proxy"


@pytest.mark.django_db
def test_a_slow_statement_is_logged_without_its_values(owner, settings, caplog):
    settings.SLOW_QUERY_SECONDS = 0

    owner.get("/search/?q=Zinnia")

    told = [record.facts["sql"] for record in caplog.records if record.name == "nursery.slow"]
    assert any("inventory_lot" in sql for sql in told)
    assert not any("Zinnia" in sql or "\n" in sql for sql in told)
