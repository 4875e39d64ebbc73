"""Point Django at a ledger of its own, with the settings of a nursery at work."""

import os
import re
import subprocess
import sys
import time
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.core.management import call_command
from django.db import connection

from nursery.bootstrap import ROOT
from nursery.homes.address import SQLITE_OPTIONS
from tests.benchmarks.filling import fill
from tests.benchmarks.multiplied import OLD, TIMES, multiply

# What is longer is multiplied out of this one.
LONGEST_FILLED = 1_000_000


@contextmanager
def opened(where: Path | str):
    """Let every query in the block go to that ledger, safe from power cuts.

    On SQLite it is a file, on PostgreSQL the name of a database.
    """
    before = dict(connection.settings_dict)
    connection.close()
    connection.settings_dict["NAME"] = str(where)
    if connection.vendor == "sqlite":
        connection.settings_dict["OPTIONS"] = SQLITE_OPTIONS
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict.update(before)


def made(path: Path, movements: int) -> Path:
    """Return the path of a ledger of so many movements, making it where there is none."""
    if not path.exists():
        if movements > LONGEST_FILLED:
            shorter = movements // TIMES
            renewed(made(path.with_stem(str(shorter)), shorter))
        draft = path.with_suffix(".draft")
        draft.unlink(missing_ok=True)
        with opened(draft):
            call_command("migrate", interactive=False, verbosity=0)
            if movements > LONGEST_FILLED:
                multiply_file(path.with_stem(str(shorter)))
            elif movements:
                fill(draft, movements)
        draft.rename(path)
    return path


def multiply_file(shorter: Path) -> None:
    """Fill the new ledger that is open out of a shorter one."""
    with connection.cursor() as cursor:
        cursor.execute(f"ATTACH %s AS {OLD}", [str(shorter)])
    multiply()


def renewed(where: Path | str) -> None:
    """Bring a ledger that an earlier run has kept up to this version's tables."""
    with opened(where):
        call_command("migrate", interactive=False, verbosity=0)


@dataclass(frozen=True)
class Run:
    """What a command took in a process of its own."""

    seconds: float
    processor_seconds: float
    megabytes: float

    def __str__(self):
        times = f"{self.seconds:.1f} s (processor {self.processor_seconds:.1f})"
        return f"{times}, {self.megabytes:.0f} MB at most"


def run(where: Path | str, *words: str) -> Run:
    """Run `manage.py` on a ledger, by its path or database, and return what it took."""
    environment = os.environ | {"DJANGO_SETTINGS_MODULE": "nursery.settings"}
    if connection.vendor == "postgresql":
        environment["DATABASE_URL"] = address_of(where)
    else:
        environment |= {"DATABASE_URL": f"sqlite:///{where}", "NURSERY_DATA": str(where.parent)}
    begun = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, ROOT / "manage.py", *words],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    megabytes = 0
    while not (ended := os.wait4(process.pid, os.WNOHANG))[0]:
        megabytes = _most_megabytes(process.pid) or megabytes
        time.sleep(0.02)
    seconds = time.perf_counter() - begun
    _, status, used = ended
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0, f"manage.py {words[0]} failed"
    return Run(seconds, used.ru_utime + used.ru_stime, megabytes)


def _most_megabytes(pid):
    """Return the most a process has held; what the system counts at its end has us in it too."""
    status = Path(f"/proc/{pid}/status").read_text()
    most = re.search(r"VmHWM:\s+(\d+) kB", status)
    return int(most[1]) / 1024 if most else None


def address_of(name: str) -> str:
    """Return the address of another database of the server that this connection is to."""
    at = connection.settings_dict
    return f"postgresql://{at['USER']}:{at['PASSWORD']}@{at['HOST']}:{at['PORT']}/{name}"
