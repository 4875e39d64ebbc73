"""A new version is killed while it brings an older ledger up: it is as it was, or all new."""

import contextlib
import shutil
import time
from collections import Counter
from random import Random

import pytest
from django.core.management import call_command

from inventory.errors import LedgerError
from nursery.keeping import backups, restoring
from tests.faults import older
from tests.faults.deeds import next_deed
from tests.faults.process import Commits, Writer, pause
from tests.faults.proofs import differences
from tests.faults.scene import small_nursery
from tests.faults.tallies import seeded, total

pytestmark = pytest.mark.django_db(transaction=True)
FEW = 1
FIRST_GUESS, COMMIT_SECONDS = 5, 0.004
# Of each family one that the older version has not.
NEWEST = {
    ("inventory", "0020_spraying"),
    ("sales", "0024_erased_buyers"),
    ("nursery", "0002_logins"),
}


@pytest.fixture
def filled():
    """Fill today's ledger with a stream of deeds and return its rows."""
    small_nursery()
    chance = Random(7)
    for number in range(25):
        with contextlib.suppress(LedgerError):
            next_deed(chance, number).do()
    return older.tables()


@pytest.mark.campaign
def test_a_killed_migration_leaves_the_older_ledger_or_the_new_one(
    seeds, filled, tmp_path, settings
):
    """Go on from there by a second start, or by the copy that was made before it."""
    tally = total("kills of a migration", Counter)
    with older.another_database(tmp_path, "older"):
        older.make_older(filled)
        begun = older.version()
    usual = FIRST_GUESS

    for seed in seeds:
        chance = Random(seed)
        at_commit = chance.random() < 0.3
        settings.BACKUPS = tmp_path / f"copies-{seed}"
        with seeded(seed), older.another_database(tmp_path, "upgraded", like="older"):
            writer = Writer(bring_up)
            kill(writer, chance.random() * (COMMIT_SECONDS if at_commit else usual), at_commit)
            there, copies = older.version(), backups.copies()
            tally["as it was" if there == begun else "new"] += 1
            assert begun == there or there > NEWEST
            if copies and chance.random() < 0.5:
                kept = restoring.restore(copies[0].path)
                tally["brought back by the copy"] += 1
                older.drop(kept)
            else:
                began = time.monotonic()
                call_command("migrate", verbosity=0)
                usual = (time.monotonic() - began) * 1.1 if there == begun else usual
                tally["a start goes through"] += 1
            assert older.version() > NEWEST
            call_command("migrate", check_unapplied=True, verbosity=0)
            assert differences() == []
        shutil.rmtree(settings.BACKUPS, ignore_errors=True)


def test_a_migration_killed_while_it_ends_leaves_no_version_between(seeds, tmp_path):
    """Take the newest tables away and bring them back, killed in the one transaction's end."""
    with older.another_database(tmp_path, "small"):
        call_command("migrate", "auth", verbosity=0)
        begun = older.version()
        for seed in seeds:
            writer = Writer(bring_up_sessions)
            kill(writer, Random(seed).random() * COMMIT_SECONDS, True)
            there = older.version()
            call_command("migrate", "sessions", verbosity=0)
            assert there in (begun, older.version())


def bring_up(pipe) -> None:
    """Migrate in a child that tells of each transaction before its end."""
    Commits(lambda: pipe.send(("commit",)))
    call_command("migrate", verbosity=0)


def bring_up_sessions(pipe) -> None:
    Commits(lambda: pipe.send(("commit",)))
    call_command("migrate", "sessions", verbosity=0)


def kill(writer: Writer, after: float, at_commit: bool) -> None:
    """Kill a writer so many seconds on, or that long after its first transaction ends."""
    if at_commit:
        writer.hear()
    pause(after)
    writer.kill()
    commits = [said for said in writer.bury() if said[0] == "commit"]
    assert len(commits) <= 1, "one transaction brings a ledger up"
