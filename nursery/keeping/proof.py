"""When the books were last proved against the ledger, and whether they agreed."""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from django.conf import settings
from django.utils import timezone

from nursery.keeping.whole_files import write_whole
from nursery.running import short_name

HELPER = [sys.executable, "-P", "-m", "nursery.keeping.helper"]


class Proof(NamedTuple):
    """One proof: its moment and whether it held."""

    at: datetime
    holds: bool


def last() -> Proof | None:
    """Return the last proof of this database, or None where it never had one."""
    try:
        kept = json.loads(_note().read_text(encoding="utf-8"))
        return Proof(datetime.fromisoformat(kept["at"]), kept["holds"])
    except (OSError, ValueError, KeyError):
        return None


def remember(holds: bool) -> None:
    """Keep that the books of this database were proved just now."""
    kept = {"at": timezone.now().isoformat(), "holds": holds}
    write_whole(_note(), json.dumps(kept).encode())


def of_another(url: str) -> str:
    """Prove the books of the database at `url`; return what is wrong, or nothing.

    A process of its own does it, as a person would by `manage.py verify`.
    """
    done = command_on(url, "verify")
    return "" if done.returncode == 0 else last_words(done)


def command_on(url: str, *words: str) -> subprocess.CompletedProcess:
    """Run a command on the database at `url`, without copies and notes in the data folder.

    It ends when this process does, even by a kill.
    """
    with tempfile.TemporaryDirectory() as scratch, held_open() as held:
        ways = (str(settings.ROOT), os.environ.get("PYTHONPATH"))
        changes = {
            "DATABASE_URL": url,
            "NURSERY_DATA": scratch,
            "NURSERY_BACKUPS": "off",
            "NURSERY_REPLICA_URL": "",
            "DJANGO_SETTINGS_MODULE": "nursery.settings",
            "PYTHONPATH": os.pathsep.join(filter(None, ways)),
        }
        return subprocess.run(
            [*HELPER, *words],
            env=os.environ | changes,
            stdin=held,
            capture_output=True,
            text=True,
            check=False,
        )


@contextmanager
def held_open() -> Iterator[int]:
    """Give one end of a pipe whose other end is open until the block, or this process, ends."""
    ends = os.pipe()
    try:
        yield ends[0]
    finally:
        for end in ends:
            os.close(end)


def last_words(done: subprocess.CompletedProcess) -> str:
    """Return what a command said as it failed, without the trace of a program's fault."""
    said = done.stderr.strip()
    return said.rpartition("\n")[2] if "Traceback" in said else said.removeprefix("CommandError: ")


def _note() -> Path:
    return settings.DATA / f"proved-{short_name(settings.DATABASES['default'])}.json"
