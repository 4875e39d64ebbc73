"""What `doctor` finds: each thing is really made wrong first."""

import shutil
from collections import namedtuple
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.utils import timezone

from inventory.models import Operation
from nursery import running
from nursery.keeping import backups, postgresql, restoring
from nursery.keeping.ailments import around, found
from nursery.keeping.errors import CannotKeep
from nursery.management.commands.verify import PROOFS
from tests.keeping_scenes import a_little_trade, own_ledger

on_sqlite = pytest.mark.sqlite


@pytest.fixture
def ledger(transactional_db, first_start, tmp_path, settings):
    first_start.copy_to(tmp_path)
    with own_ledger(tmp_path, settings):
        a_little_trade()
        yield tmp_path


def said(*words) -> str:
    out = StringIO()
    try:
        call_command("doctor", *words, stdout=out)
    except CommandError as error:
        return f"{out.getvalue()}{error}"
    return out.getvalue()


def run(statement):
    with connection.cursor() as cursor:
        cursor.execute(statement)


@on_sqlite
def test_a_sound_ledger_has_nothing_grave(ledger):
    assert [one.words for one in found() if one.gravity == "grave"] == [
        "The ledger has no copy that holds."
    ]
    backups.back_up()
    assert [one.words for one in found() if one.gravity == "grave"] == []
    assert "The database answers and takes entries." in said()


@on_sqlite
def test_lost_guards_and_wrong_sums_are_told_and_mended(ledger):
    run("DROP TRIGGER sales_take_no_delete")
    run("UPDATE inventory_lotbalance SET on_hand = on_hand + 1")
    (ledger / "copies").mkdir()
    (ledger / "copies" / "half.sqlite3.part").touch()
    (ledger / "secret-key").chmod(0o644)

    words = said()

    assert "Rows could be changed or deleted in sales_take." in words
    assert "on hand is kept as 27; a replay of the ledger gives 26." in words
    assert "A copy was broken off: half.sqlite3.part." in words
    assert f"Others on this machine can read {ledger / 'secret-key'}." in words
    assert words.endswith("3 grave faults."), "there is no copy either"

    assert said("--mend").endswith("1 grave fault.")
    assert not [words for proof in PROOFS for words in proof()]
    assert not (ledger / "copies" / "half.sqlite3.part").exists()


@on_sqlite
def test_a_lost_rule_is_named(ledger):
    run("DROP INDEX sales_buyerlink_one_link_stands")

    assert "The database has lost its rule sales_buyerlink_one_link_stands." in said()


@on_sqlite
def test_a_clock_set_back_is_told(ledger):
    entry = Operation(kind="move", date=timezone.localdate(), request_id="0" * 32)
    Operation.objects.bulk_create([entry])
    run("DROP TRIGGER inventory_operation_no_update")
    later = timezone.now() + timedelta(days=2)
    Operation.objects.filter(pk=entry.pk).update(entered_at=later)

    assert "which is still to come" in said()


@on_sqlite
def test_a_damaged_file_leads_to_the_copies_without_a_trace(ledger):
    path = ledger / "ledger.sqlite3"
    run("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    content = bytearray(path.read_bytes())
    for page in range(40, 60):
        content[page * 4096 : page * 4096 + 2000] = b"\xff" * 2000
    path.write_bytes(content)

    words = said()

    assert "The ledger's file" in words
    assert "python3 manage.py restore FILE" in words


@on_sqlite
def test_a_missing_ledger_is_told(ledger):
    connection.close()
    (ledger / "ledger.sqlite3").unlink()

    assert "There is no ledger at" in said()
    assert not (ledger / "ledger.sqlite3").exists()


@on_sqlite
def test_a_lost_table_is_named_and_hides_nothing_else(ledger):
    run("DROP TABLE inventory_benchnote")
    (ledger / "secret-key").chmod(0o644)

    words = said()

    assert "The table inventory_benchnote is missing." in words
    assert "Others on this machine can read" in words


@on_sqlite
def test_tables_of_another_version_are_told_with_the_way_out(ledger):
    run("INSERT INTO django_migrations (app, name, applied) VALUES ('sales', '9999_more', '')")
    assert "of a later version of this program: it has 9999_more" in said()
    run("DELETE FROM django_migrations WHERE name = '9999_more' OR app = 'axes'")
    assert "python3 manage.py migrate" in said()


@on_sqlite
def test_copies_that_are_old_or_did_not_hold_are_told(ledger):
    copy = backups.back_up().path
    old = copy.with_name("ledger-2026-01-02T03-04-05Z.sqlite3")
    copy.rename(old)
    copy.with_name(f"{copy.name}.json").unlink()
    shutil.copy(old, old.with_name("ledger-2026-01-03T03-04-05Z-doubtful.sqlite3"))

    words = said()

    assert "days old." in words
    assert "The newest copy is not proven: ledger-2026-01-02T03-04-05Z.sqlite3." in words
    assert "A copy did not hold: ledger-2026-01-03T03-04-05Z-doubtful.sqlite3." in words
    assert "The copies lie on the ledger's own disk" in words


@on_sqlite
def test_what_this_machine_lacks_is_told(ledger, monkeypatch, settings):
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: usage(0, 0, 49_000_000))
    monkeypatch.setattr("sqlite3.sqlite_version_info", (3, 31, 0))
    monkeypatch.setattr("importlib.metadata.version", lambda _name: "0.0.1")
    (ledger / "ledger.sqlite3.coming").touch()
    (ledger / "ledger-before-2026-11-26.sqlite3").hardlink_to(ledger / "ledger.sqlite3")
    settings.DEBUG = True

    words = said()

    assert "Only 49 MB are free" in words
    assert "which is old." in words
    assert "django is 0.0.1, and the ledger was tried with" in words
    assert "A restore was broken off: ledger.sqlite3.coming." in words
    assert "ledger-before-2026-11-26.sqlite3 is a second name of the ledger itself." in words
    assert "DEBUG is on" in words
    with pytest.raises(CannotKeep, match="Make room"):
        backups.back_up()
    with running.take_note(restoring.UNDER_WAY):
        assert "A restore was broken off" not in said()


def test_a_disk_of_another_machine_is_known_by_its_mount():
    mounts = "/dev/sda1 / ext4 rw 0 0\nserver:/share /mnt/share nfs4 rw 0 0\n"

    assert around.kind_of_disk(Path("/mnt/share/ledger.sqlite3"), mounts) in around.NETWORK
    assert around.kind_of_disk(Path("/srv/ledger.sqlite3"), mounts) == "ext4"


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_lost_guards_and_leftovers_are_told_and_mended_on_postgresql(settings, tmp_path):
    settings.DATA = tmp_path
    left = postgresql.beside("_proof_1")
    run(f'CREATE DATABASE "{left}" TEMPLATE template0')
    run("ALTER TABLE sales_take DISABLE TRIGGER sales_take_no_delete")
    run("DROP TRIGGER inventory_movement_no_update ON inventory_movement")

    words = said()
    assert "Rows could be changed or deleted in inventory_movement, sales_take." in words
    assert f"left the database {left}." in words

    said("--mend")
    assert "could be changed" not in said()
    assert left not in postgresql.left_over()


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_a_server_that_does_not_answer_is_told_without_a_trace():
    port = connection.settings_dict["PORT"]
    connection.close()
    connection.settings_dict["PORT"] = "1"
    try:
        assert "See that its server runs and that DATABASE_URL is right." in said()
    finally:
        connection.close()
        connection.settings_dict["PORT"] = port
