"""`manage.py` as a person runs it: a process of its own, on a folder of its own."""

import os
import shutil
import signal
import socket
import subprocess
import sys
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from nursery.bootstrap import ROOT


def surroundings_of(folder: Path) -> dict[str, str]:
    """Return an environment in which the ledger lies in that folder."""
    left_out = ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")
    kept = {name: value for name, value in os.environ.items() if name not in left_out}
    return kept | {
        "NURSERY_DATA": str(folder),
        "NURSERY_NO_BOOTSTRAP": "1",
        # A test that is about copies names a folder for them.
        "NURSERY_BACKUPS": "off",
    }


def begin(*words: str, folder: Path, log=subprocess.PIPE, **changes: str) -> subprocess.Popen:
    """Start manage.py with some words.

    One that tells much needs a file as its `log`: a pipe that nobody reads stops it after 64 KiB.
    """
    return subprocess.Popen(
        [sys.executable, str(ROOT / "manage.py"), *words],
        env=surroundings_of(folder) | changes,
        cwd=ROOT,
        text=True,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=log,
    )


def free_port() -> str:
    """Name a port that nobody listens at."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return str(probe.getsockname()[1])


def read_until_open(process: subprocess.Popen) -> list[str]:
    """Return what a starting server prints, until it is open."""
    lines = []
    for line in process.stdout:
        lines.append(line.rstrip())
        if line.startswith("Ctrl-C"):
            return lines
    raise AssertionError(process.communicate()[1])


@dataclass
class FirstStart:
    """A ledger that was started from nothing and stopped, and what that told."""

    folder: Path
    lines: list[str]
    told: list[str]

    def copy_to(self, folder: Path, *, database: str = "ledger.sqlite3") -> None:
        """Let a start from that folder be as quick as any but the first."""
        shutil.copytree(self.folder, folder, dirs_exist_ok=True)
        (folder / "ledger.sqlite3").rename(folder / database)


@contextmanager
def served(first_start: FirstStart, folder: Path, *words: str, **changes: str):
    """Serve the ledger of a first start, with further words to `up`, and kill it at the end."""
    first_start.copy_to(folder)
    port = free_port()
    process = begin("up", "--port", port, *words, folder=folder, **changes)
    try:
        read_until_open(process)
        process.address = f"http://127.0.0.1:{port}/welcome/"
        yield process
    finally:
        process.kill()
        process.communicate()


def start_from_nothing(folder: Path) -> FirstStart:
    """Start and stop `up` on an empty folder."""
    up = begin("up", "--port", free_port(), folder=folder)
    lines = read_until_open(up)
    up.send_signal(signal.SIGTERM)
    return FirstStart(folder, lines, up.communicate(timeout=20)[1].splitlines())
