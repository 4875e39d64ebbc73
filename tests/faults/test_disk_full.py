"""The disk is full: nothing is half, what was there is there, the same press works later."""

import contextlib
import errno
import resource
import signal
import subprocess
from collections import Counter
from pathlib import Path
from random import Random
from uuid import uuid4

import pytest
from django.db import OperationalError, connection

from inventory.errors import LedgerError
from inventory.models import Photo
from nursery.kept_files import kept_file
from nursery.watching.faults import BROKEN, FULL, fault_of
from tests.faults import power
from tests.faults.deeds import Deed, next_deed
from tests.faults.process import Writer
from tests.faults.proofs import differences, shape
from tests.faults.scene import small_nursery
from tests.faults.tallies import seeded, total

pytestmark = [pytest.mark.sqlite, pytest.mark.django_db(transaction=True)]
FEW = 4


def tried(deed: Deed) -> str:
    """Do a deed and say how it went; "full" where SQLite or the system had no room."""
    try:
        deed.do()
    except LedgerError:
        return "refused"
    except (OperationalError, OSError) as error:
        assert "full" in str(error) or "I/O" in str(error) or "large" in str(error), error
        return "full"
    return "done"


def let_no_file_outgrow(size: int) -> None:
    """Let the system refuse this process to write beyond so many bytes of any file."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))


def press_again(deed: Deed) -> None:
    """Press the same button once there is room: it is done, or refused in the ledger's words."""
    with contextlib.suppress(LedgerError):
        assert deed.do() == deed.do()
    assert differences() == []


def test_a_log_that_cannot_grow_leaves_what_was_there(seeds):
    """Stop the files from growing at any byte of a deed, that of its commit too."""
    small_nursery()
    tally = total("deeds with a log that cannot grow", Counter)

    for seed in seeds:
        chance, before = Random(seed), shape()
        deed, room = next_deed(chance, seed % 50), chance.randrange(1, 150_000)
        heard = Writer(_writes_within(deed, room)).bury()
        with seeded(seed):
            ((outcome,),) = heard
            assert outcome != "full" or shape() == before
            press_again(deed)
        tally[outcome] += 1


def test_a_picture_without_room_leaves_no_row_and_no_half_file():
    small_nursery()
    deed, before = Deed("photo", uuid4(), {"colour": 0x44AA22}), _kept()

    def work(pipe):
        let_no_file_outgrow(1000)
        pipe.send((tried(deed),))

    ((outcome,),) = Writer(work).bury()
    assert outcome == "full"
    assert (_kept(), Photo.objects.count()) == (before, 0)
    press_again(deed)
    assert Photo.objects.count() == 1


def test_a_file_without_room_is_told_as_a_full_disk_and_another_trouble_is_not():
    assert fault_of(OSError(errno.ENOSPC, "No space left on device")) is FULL
    assert fault_of(OSError(errno.EACCES, "Permission denied")) is BROKEN


def _kept() -> set[Path]:
    return set(kept_file(f"{'0' * 64}.jpg").parent.glob("*"))


def _writes_within(deed: Deed, more: int):
    def work(pipe):
        shape()
        log = power.log_of(Path(connection.settings_dict["NAME"]))
        let_no_file_outgrow(log.stat().st_size + more)
        pipe.send((tried(deed),))

    return work


@pytest.fixture
def small_disk(tmp_path):
    """Mount a file system of a few megabytes, which only the system's administrator may."""
    disk = tmp_path / "disk"
    disk.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=6m", "tmpfs", str(disk)], check=True)
    yield disk
    connection.close()
    subprocess.run(["umount", str(disk)], check=True)


@pytest.mark.campaign
def test_a_disk_that_is_really_full(seeds, small_disk, tmp_path):
    small_nursery()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    ours = power.copied(Path(connection.settings_dict["NAME"]), small_disk, "small.sqlite3")
    filler, tally = small_disk / "filler", total("deeds on a full disk", Counter)

    with power.opened(ours):
        for seed in seeds:
            chance, before = Random(seed), shape()
            deed = next_deed(chance, seed % 50)
            _fill(filler, leave=chance.randrange(0, 120_000))
            with seeded(seed):
                ((outcome,),) = Writer(lambda pipe, deed=deed: pipe.send((tried(deed),))).bury()
                assert outcome != "full" or shape() == before, "the ledger is read while full"
                filler.unlink()
                press_again(deed)
            tally[outcome] += 1


def _fill(filler: Path, leave: int) -> None:
    """Fill a disk but for so many bytes."""
    with contextlib.suppress(OSError), filler.open("wb", buffering=0) as file:
        while True:
            file.write(b"." * 4096)
    with filler.open("r+b") as file:
        file.truncate(max(filler.stat().st_size - leave, 0))
