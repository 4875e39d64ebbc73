"""A copy, or the bringing back of one, is killed: what is there is whole, and is told apart."""

import os
import shutil
import signal
import time
from collections import Counter
from contextlib import contextmanager, suppress
from io import StringIO
from pathlib import Path
from random import Random

import pytest
from django.core.management import call_command
from django.db import connection

from inventory.models import LotBalance
from nursery.keeping import backups, engines, postgresql, restoring
from nursery.keeping.ailments import around, engine
from tests.factories import sell_from
from tests.faults import power
from tests.faults.process import Writer, pause
from tests.faults.proofs import differences, shape
from tests.faults.scene import day, small_nursery
from tests.faults.tallies import seeded, total

pytestmark = pytest.mark.django_db(transaction=True)
FEW = 1
# Nothing was measured yet.
USUAL_SECONDS = 1.0
CHANGE_SECONDS = 0.03
# Between these what one kill left is in the way of the next.
TIDIED_EVERY = 5
MOMENTS = ("any moment", "as it takes its place")


@pytest.fixture
def copy(tmp_path, settings):
    """A copy of a small nursery, and a ledger of its own brought back from it and sold from."""
    settings.DATA, settings.BACKUPS = tmp_path, tmp_path / "copies"
    small_nursery()
    path = tmp_path / f"first.{engines.ending()}"
    engines.copy_to(path)
    with own_place(path, tmp_path / "ledger.sqlite3"):
        yield path


@contextmanager
def own_place(copy: Path, place: Path):
    """Let the ledger be one of its own, with what a copy holds."""
    if connection.vendor == "sqlite":
        shutil.copyfile(copy, place)
        with power.opened(place):
            yield
        return
    tests, own = connection.settings_dict["NAME"], postgresql.beside("_own")
    postgresql.read_into(copy, own)
    try:
        with power.opened(own):
            yield
    finally:
        for name in _names_like(own):
            postgresql.drop(name)
        assert connection.settings_dict["NAME"] == tests


def _names_like(own: str) -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT datname FROM pg_database WHERE starts_with(datname, %s)", [own])
        return [name for (name,) in cursor.fetchall()]


class Kill:
    """One piece of work in a process of its own, killed by chance, alone or with its helpers."""

    def __init__(self, seed: int, usual: float, moments: tuple = MOMENTS):
        chance = Random(seed)
        self.moment, self.with_helpers = chance.choice(moments), chance.random() < 0.5
        self.usual, self.share = usual, chance.random()

    def __call__(self, work) -> None:
        """Begin the work and kill it, at the latest as it would end."""
        writer = Writer(lambda pipe: self._tell(pipe, work))
        writer.hear()
        if self.moment == "any moment":
            pause(self.share * self.usual)
        elif writer.hear():
            pause(self.share * CHANGE_SECONDS)
        with suppress(ProcessLookupError):
            if self.with_helpers:
                os.killpg(writer.pid, signal.SIGKILL)
        writer.kill()
        assert "broken" not in [said[0] for said in writer.bury()]

    def _tell(self, pipe, work):
        """Work in a group of its own, and say when a finished draft gets its name."""
        os.setpgid(0, 0)
        for where, name in ((restoring, "change_places"), (postgresql, "put_in_place")):
            setattr(where, name, _told(pipe, getattr(where, name)))
        backups.put_in_place = _told(pipe, backups.put_in_place)
        pipe.send(("begun",))
        work()


def _told(pipe, usual):
    def telling(*words):
        pipe.send(("takes its place",))
        return usual(*words)

    return telling


def moments_of(seeds: range) -> tuple:
    """Return all moments for a campaign; the suite does not wait for the end of anything."""
    return MOMENTS if len(seeds) > FEW else MOMENTS[:1]


def bring_back(copy: Path) -> None:
    call_command("restore", str(copy), "--yes", stdout=StringIO(), stderr=StringIO())


def test_a_killed_restore_leaves_the_old_ledger_or_the_new_one(seeds, copy):
    tally, copied, usual = total("kills of a restore", Counter), shape(), USUAL_SECONDS

    for seed in seeds:
        sell_from(LotBalance.objects.earliest("pk").lot, 1, on=day(seed % 200))
        before, kill = shape(), Kill(seed, usual, moments_of(seeds))
        with seeded(seed):
            kill(lambda: bring_back(copy))
            there = shape()
            assert there in (before, copied)
            assert connection.vendor != "sqlite" or power.is_sound()
            assert differences() == []
            left = [*engine.leftovers()]
            assert all(one.mend for one in left)
            tally[f"{'the new one' if there == copied else 'as it was'}, {kill.moment}"] += 1
            tally["told by doctor"] += bool(left)
            if len(seeds) > FEW and not seed % TIDIED_EVERY:
                began = time.monotonic()
                bring_back(copy)
                usual = (time.monotonic() - began) * 1.05
                assert shape() == copied
                assert not [*engine.leftovers()] or connection.vendor == "postgresql"


def test_a_killed_copy_is_never_taken_for_a_good_one(seeds, copy):
    tally, usual, known = total("kills of a copy", Counter), USUAL_SECONDS, set()

    for seed in seeds:
        kill = Kill(seed, usual, moments_of(seeds))
        with seeded(seed):
            kill(backups.back_up)
            made = [one for one in backups.copies() if one.path not in known]
            for one in made:
                assert (one.proof, one.trouble) == (backups.REPLAYED, "")
                restoring.look_at(one.path)
            left = [*around.halves()]
            tally[f"{'whole' if made else 'none'}, {kill.moment}"] += 1
            tally["told by doctor"] += bool(left)
            if len(seeds) > FEW and not seed % TIDIED_EVERY:
                began = time.monotonic()
                assert backups.back_up().is_proven
                usual = (time.monotonic() - began) * 1.05
                assert not [*around.halves()]
            known = {one.path for one in backups.copies()}
