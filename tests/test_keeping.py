"""Copies of the ledger: made while people write, proved, thinned out and brought back."""

import os
import sqlite3
import threading
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from inventory.models import Movement
from nursery.apps import NurseryConfig
from nursery.keeping import backups, engines, postgresql, proof, restoring
from nursery.keeping.by_itself import copy_before_migrating
from nursery.keeping.errors import CannotKeep
from nursery.keeping.rotation import outlived
from tests.factories import lot_holding, sell_from
from tests.keeping_scenes import a_little_trade, own_ledger

NOW = datetime(2026, 11, 25, 18, tzinfo=UTC)


@pytest.fixture
def ledger(transactional_db, first_start, tmp_path, settings):
    first_start.copy_to(tmp_path)
    with own_ledger(tmp_path, settings):
        yield tmp_path


def test_all_copies_of_a_week_stay_then_one_a_day_then_one_a_month():
    hours = [NOW - timedelta(hours=6 * number) for number in range(4 * 400)]

    left = sorted(set(hours) - outlived(hours, NOW), reverse=True)

    assert left[:29] == hours[:29], "every one of the last 7 days"
    assert {moment.date() for moment in left} >= {(NOW - timedelta(n)).date() for n in range(30)}
    old = [moment for moment in left if NOW - moment > timedelta(days=31)]
    assert len(old) == len({(moment.year, moment.month) for moment in old}) == 12


@pytest.mark.django_db(transaction=True)
def test_a_copy_made_while_people_write_is_whole_and_proven(settings, tmp_path):
    settings.BACKUPS = tmp_path
    a_little_trade()
    before, ended = Movement.objects.count(), threading.Event()

    def write():
        for number in range(1000):
            if ended.is_set():
                break
            lot_holding(5, f"M{number}")
        connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        copy = backups.back_up()
    finally:
        ended.set()
        writer.join()

    assert (copy.proof, copy.trouble) == (backups.REPLAYED, "")
    assert before <= copy.movements <= Movement.objects.count()
    assert backups.newest() == copy
    assert "sales 00" in copy.version
    assert proof.last().holds
    assert backups.back_up_if_due() is None, "the next is due tomorrow"


@pytest.mark.sqlite
def test_a_copy_whose_books_do_not_agree_says_so_and_is_never_the_newest(ledger):
    lot = a_little_trade()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE inventory_lotbalance SET on_hand = on_hand + 1")

    copy = backups.back_up()

    assert not copy.is_proven
    assert f"Lot {lot}: on hand is kept as 27; a replay of the ledger gives 26." in copy.trouble
    assert copy.path.name.endswith("-doubtful.sqlite3")
    assert copy.path.exists()
    assert backups.newest() is None
    assert not proof.last().holds
    assert backups.back_up_if_due() is None, "the next would not hold either, hour by hour"


@pytest.mark.sqlite
def test_a_copy_brought_back_is_the_ledger_as_it_was_and_the_later_one_is_kept(ledger):
    lot = a_little_trade()
    (ledger / "kept").mkdir()
    (ledger / "kept" / "picture.png").write_bytes(b"as handed in")
    copy = backups.back_up()
    sell_from(lot, 6)
    (ledger / "kept" / "picture.png").unlink()

    found = restoring.look_at(copy.path)
    old = restoring.restore(copy.path)

    assert (found.movements, found.documents) == (2, 1)
    assert Movement.objects.count() == 2
    assert (ledger / "kept" / "picture.png").read_bytes() == b"as handed in"
    with closing(sqlite3.connect(old)) as file:
        assert file.execute("SELECT count(*) FROM inventory_movement").fetchone() == (3,)
    call_command("verify")
    assert proof.last().holds


@pytest.mark.sqlite
def test_what_is_no_good_copy_is_refused_in_words(ledger):
    a_little_trade()
    copy = backups.back_up().path
    later, broken = ledger / "later.sqlite3", ledger / "broken.sqlite3"
    content = copy.read_bytes()
    later.write_bytes(content)
    with closing(sqlite3.connect(later)) as file, file:
        file.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('sales', '9999_more', '')"
        )
    broken.write_bytes(content[: len(content) // 2])
    copy.write_bytes(content + b"x")

    for path, words in [
        (later, "of a later version of this program: it has 9999_more"),
        (broken, "damaged|cannot be read"),
        (copy, "not as it was made"),
        (ledger / "none.sqlite3", "is not there"),
        (ledger / "ledger.dump", "The copy is of a ledger on PostgreSQL"),
    ]:
        with pytest.raises(CannotKeep, match=words):
            restoring.look_at(path)
    assert Movement.objects.count() == 2


@pytest.mark.sqlite
def test_a_ledger_with_plants_is_copied_before_its_tables_change(ledger):
    config = NurseryConfig.create("nursery")
    copy_before_migrating(config, plan=["a migration"], verbosity=0)
    assert backups.copies() == []

    a_little_trade()
    copy_before_migrating(config, plan=[], verbosity=0)
    assert backups.copies() == []
    copy_before_migrating(config, plan=["a migration"], verbosity=0)
    assert backups.newest().is_proven


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_a_copy_is_brought_back_on_postgresql(settings, tmp_path):
    settings.BACKUPS = tmp_path
    lot = a_little_trade()
    copy = backups.back_up()
    name = connection.settings_dict["NAME"]
    postgresql.read_into(copy.path, f"{name}_own")
    connection.close()
    connection.settings_dict["NAME"] = f"{name}_own"
    try:
        sell_from(lot, 6)
        old = restoring.restore(copy.path).removeprefix("the database ")
        assert Movement.objects.count() == 2
        connection.close()
        connection.settings_dict["NAME"] = old
        assert Movement.objects.count() == 3
    finally:
        connection.close()
        connection.settings_dict["NAME"] = name
        for made in (f"{name}_own", old):
            postgresql.drop(made)


@pytest.mark.sqlite
def test_a_place_without_a_ledger_is_not_copied_and_stays_empty(ledger):
    connection.close()
    (ledger / "ledger.sqlite3").unlink()

    with pytest.raises(CannotKeep, match="no ledger was begun here yet"):
        backups.back_up()
    assert not (ledger / "ledger.sqlite3").exists()


@pytest.mark.sqlite
def test_the_command_says_what_is_replaced_and_asks_for_the_name(ledger, monkeypatch):
    lot = a_little_trade()
    copy, out = backups.back_up().path, StringIO()
    sell_from(lot, 6)

    monkeypatch.setattr("sys.stdin", StringIO("no\n"))
    with pytest.raises(CommandError, match="Nothing was changed"):
        call_command("restore", str(copy), stdout=out)
    assert Movement.objects.count() == 3

    # What a restore broken off left beside its draft must not get into this one.
    (ledger / "ledger.sqlite3.coming-wal").write_bytes(b"of another time")
    call_command("restore", str(copy), "--yes", stdout=out)
    assert "The copy: a nursery without a name: 2 movements, 1 documents" in out.getvalue()
    assert "It takes the place of: a nursery without a name: 3 movements" in out.getvalue()
    assert Movement.objects.count() == 2


@pytest.mark.sqlite
def test_a_ledger_that_another_program_has_open_is_not_replaced(ledger):
    lot = a_little_trade()
    copy = backups.back_up().path
    sell_from(lot, 6)

    with closing(sqlite3.connect(ledger / "ledger.sqlite3")) as console:
        console.execute("BEGIN")
        console.execute("SELECT count(*) FROM inventory_lot").fetchone()
        with pytest.raises(CannotKeep, match="Another program has the ledger open"):
            restoring.restore(copy)
    assert Movement.objects.count() == 3
    assert not list(ledger.glob("*.coming*"))


@pytest.mark.sqlite
def test_a_restore_broken_off_at_any_moment_leaves_a_whole_ledger(ledger, monkeypatch):
    """Each step at which the disk is asked for something fails in turn, as a power cut would."""
    a_little_trade()
    place, copy = ledger / "ledger.sqlite3", backups.back_up().path
    sell_from(lot_holding(9, "LATER"), 2)
    connection.close()
    engines.settle(place)
    whole, steps = place.read_bytes(), 0
    while True:
        place.write_bytes(whole)
        (draft := restoring.draft_beside(place)).write_bytes(copy.read_bytes())
        try:
            with broken_at(steps, monkeypatch):
                old = Path(restoring.change_places(place, draft, f"before-{steps}"))
                break
        except PowerCut:
            steps += 1
        with closing(sqlite3.connect(place)) as file:
            assert file.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            assert file.execute("SELECT count(*) FROM inventory_movement").fetchone()[0] in (2, 4)

    assert steps >= 4
    assert old.read_bytes() == whole


class PowerCut(BaseException):
    """The machine is off."""


@contextmanager
def broken_at(step: int, monkeypatch):
    """Let the process end at the call of that number that asks something of the disk."""
    calls = iter(range(1000))

    def or_cut(usual):
        def asked(*words, **named):
            if next(calls) == step:
                raise PowerCut
            return usual(*words, **named)

        return asked

    with monkeypatch.context() as patched:
        for name in ("fsync", "link", "replace", "unlink"):
            patched.setattr(f"os.{name}", or_cut(getattr(os, name)))
        yield


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_a_copy_by_an_account_that_may_make_no_database_is_read_and_says_so(settings, tmp_path):
    settings.BACKUPS = tmp_path
    a_little_trade()
    run("CREATE ROLE copier LOGIN IN ROLE pg_read_all_data")
    before = connection.settings_dict["USER"]
    connection.close()
    connection.settings_dict["USER"] = "copier"
    try:
        out = StringIO()
        call_command("backup", stdout=out)
        assert "Not proven, only read to its end" in out.getvalue()
        assert (backups.newest().is_proven, backups.newest().movements) == (False, 2)
    finally:
        connection.close()
        connection.settings_dict["USER"] = before
        run("DROP ROLE copier")


def run(statement):
    with connection.cursor() as cursor:
        cursor.execute(statement)
