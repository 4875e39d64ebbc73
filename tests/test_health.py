"""Whether the ledger is well: one word for strangers, the reasons for who keeps it."""

import shutil
from collections import namedtuple
from pathlib import Path

import pytest
from django.db import connection

from nursery.keeping import proof
from nursery.watching import health
from tests.factories import NurseryFactory, UserFactory


@pytest.fixture(autouse=True)
def nothing_kept():
    health._kept, health._are_right = None, False
    yield
    health._kept, health._are_right = None, False


@pytest.mark.django_db
def test_a_watch_from_outside_gets_a_word_and_no_cookie(client):
    at_home = client.get("/health/")
    from_outside = client.get("/health/", headers={"X-Forwarded-For": "192.0.2.7"})

    assert from_outside.status_code == 200
    assert from_outside.json()["checks"]["database"] == "ok"
    assert from_outside.json()["checks"]["tables"] == "ok"
    assert "words" not in from_outside.json()
    assert "MB" in at_home.json()["words"]["disk"]
    assert not from_outside.cookies
    assert "Cookie" not in from_outside.get("Vary", "")


@pytest.mark.django_db
def test_it_is_looked_at_once_however_often_it_is_asked(client, django_assert_num_queries):
    client.get("/health/")

    with django_assert_num_queries(0):
        assert client.get("/health/").json()["checks"]["database"] == "ok"


@pytest.mark.django_db
@pytest.mark.parametrize(("free", "state"), [(499, "worn"), (49, "down")])
def test_a_disk_that_fills_is_told(client, monkeypatch, free, state):
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: usage(0, 0, free * 1_000_000))

    answer = client.get("/health/")

    assert answer.json()["checks"]["disk"] == state
    assert answer.status_code == (503 if state == "down" else 200)


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_a_database_that_takes_no_entries_is_down(client, tmp_path):
    name = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = str(tmp_path / "gone.sqlite3")
    answer = client.get("/health/")
    connection.close()
    connection.settings_dict["NAME"] = name

    assert (answer.status_code, answer.json()["status"]) == (503, "down")


@pytest.mark.django_db
def test_books_that_do_not_agree_and_an_old_copy_are_told(client, settings, tmp_path):
    settings.DATA = settings.BACKUPS = tmp_path
    name = Path(connection.settings_dict["NAME"]).stem
    (tmp_path / f"{name}-2026-04-02T18-02-11Z.sqlite3").touch()
    proof.remember(False)

    found = client.get("/health/").json()

    assert found["status"] == found["checks"]["proof"] == "down"
    assert found["words"]["copy"] == "Last copy: 2 April 2026 18:02, not proven."


@pytest.mark.django_db
def test_the_owner_reads_it_in_settings(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))

    page = client.get("/settings/").content.decode()

    assert "The database answers and takes entries." in page
    assert "Who did what" in page
