"""The power goes: whatever SQLite's files look like then, what was acknowledged is there."""

import contextlib
import os
import signal
from collections import Counter
from pathlib import Path
from random import Random

import pytest
from django.db import connection

from inventory.errors import LedgerError
from tests.faults import power
from tests.faults.deeds import next_deed
from tests.faults.process import Writer, pause
from tests.faults.proofs import differences, shape
from tests.faults.scene import small_nursery
from tests.faults.tallies import seeded, total

pytestmark = [pytest.mark.sqlite, pytest.mark.django_db(transaction=True)]
FEW = 4
DEEDS = 5


def writes(seed: int, deeds: int, *, checkpoint: int):
    """Return the work of a writer that waits for the disk, as a nursery's ledger does."""

    def work(pipe):
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA synchronous=FULL")
            cursor.execute(f"PRAGMA wal_autocheckpoint={checkpoint}")
        chance = Random(seed)
        pipe.send((_log_size(), shape()))
        for number in range(deeds):
            with contextlib.suppress(LedgerError):
                next_deed(chance, number).do()
                pipe.send((_log_size(), shape()))

    return work


def test_every_beginning_of_the_log_is_a_ledger_with_what_was_acknowledged(seeds, tmp_path):
    """Cut the log after a frame, within one, with its last page torn, with rubbish behind it."""
    small_nursery()
    database, states = _at_rest(), total("states of a log cut short", Counter)
    acknowledged = Writer(writes(seeds.start, DEEDS, checkpoint=0)).bury()
    log = power.log_of(database).read_bytes()
    whole = power.copied(database, tmp_path, "whole.sqlite3")
    ends = [end for end, _ in power.frames(log)]

    for seed in seeds:
        chance = Random(seed)
        end = chance.choice(ends)
        for kind, cut, there in _cuts(chance, log, end):
            copy = power.copied(whole, tmp_path, "cut.sqlite3")
            power.log_of(copy).write_bytes(cut)
            expected = [known for size, known in acknowledged if size <= there][-1]
            with seeded(seed), power.opened(copy):
                assert power.is_sound()
                assert shape() == expected, f"the log cut at {end}, {kind}"
                assert differences() == []
            states[kind] += 1


def _cuts(chance, log, end):
    """Yield (how, what is left of the log, up to where it counts)."""
    yield "after a frame", log[:end], end
    yield "within a frame", log[: end - chance.randrange(1, 4000)], end - 1
    yield "its last page torn", log[: end - 2048] + b"\x5a" * 2048, end - 1
    yield "rubbish behind it", log[:end] + chance.randbytes(5000), end


def test_the_files_as_they_are_at_any_moment_are_a_ledger_with_all_acknowledged(seeds, tmp_path):
    """Stop the writer while it writes or copies its log back; tear pages it may be writing."""
    small_nursery()
    database, states = _at_rest(), total("states at any moment", Counter)
    writer = Writer(writes(seeds.start, 10_000, checkpoint=20))
    try:
        known = [writer.hear()]
        for seed in seeds:
            chance = Random(seed)
            pause(chance.random() * 0.15)
            os.kill(writer.pid, signal.SIGSTOP)
            known += _heard(writer)
            copy = power.copied(database, tmp_path, "moment.sqlite3")
            torn = _tear(chance, copy)
            with seeded(seed), power.opened(copy):
                found = shape()
                assert power.is_sound()
                assert differences() == []
            os.kill(writer.pid, signal.SIGCONT)
            known.append(writer.hear())
            assert found in [shape for _, shape in known[-2:]], f"seed {seed}"
            states["with torn pages" if torn else "as it was"] += 1
    finally:
        writer.kill()
        writer.bury()


def _heard(writer):
    found = []
    while writer.pipe.poll():
        found.append(writer.hear())
    return found


def _tear(chance, copy):
    """Tear some pages that lie whole in the log, as a copying back broken off would."""
    log = power.log_of(copy).read_bytes() if power.log_of(copy).exists() else b""
    pages = sorted({page for _, page in power.committed(log)})
    torn = chance.sample(pages, min(len(pages), chance.randrange(4)))
    for page in torn:
        power.tear_page(copy, page, power.page_size(log))
    return torn


def _at_rest() -> Path:
    """Return the ledger's file, with all of it in it and an empty log."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return Path(connection.settings_dict["NAME"])


def _log_size() -> int:
    return power.log_of(Path(connection.settings_dict["NAME"])).stat().st_size
