"""PostgreSQL's own processes: killed, or sent away at once, and begun again."""

import contextlib
import os
import signal
import subprocess
from pathlib import Path

from django.db import OperationalError, connection

from tests.faults.process import pause

# A server that loses a process ends all others and begins them anew: only then has it recovered.
BEGAN = "SELECT backend_start FROM pg_stat_activity WHERE backend_type = 'checkpointer'"


def backend() -> int | None:
    """Return the process that serves this connection; SQLite has none."""
    return int(_said("SELECT pg_backend_pid()")) if connection.vendor == "postgresql" else None


class Server:
    """The server this connection leads to. It must be of this machine and nobody else's."""

    def __init__(self, *, whole: bool):
        self.whole, self.folder = whole, Path(_said("SHOW data_directory"))
        self.began, self.is_gone = _said(BEGAN), False

    def kill(self, process: int) -> None:
        """Kill one of its processes, after which it recovers; or the whole of it at once.

        SIGQUIT is what `pg_ctl stop -m immediate` sends: nothing is written any more.
        """
        if not self.whole:
            with contextlib.suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
                self.is_gone = True
            return
        self.is_gone = True
        head = int((self.folder / "postmaster.pid").read_text().split()[0])
        os.kill(head, signal.SIGQUIT)
        while (self.folder / "postmaster.pid").exists():
            pause(0.05)

    def come_back(self) -> None:
        """Begin it again, where it is gone, and wait until it has recovered."""
        if not self.is_gone:
            return
        if self.whole:
            # Left to run by itself, so that nobody here waits for its end.
            subprocess.run(
                f"{(self.folder / 'postmaster.opts').read_text().strip()} &",
                check=True,
                shell=True,
                user=self.folder.stat().st_uid,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                start_new_session=True,
            )
        for _ in range(600):
            with contextlib.suppress(OperationalError):
                connection.close()
                if _said(BEGAN) != self.began:
                    self.began, self.is_gone = _said(BEGAN), False
                    return
            pause(0.1)
        raise AssertionError("PostgreSQL did not come back.")


def _said(question: str) -> str:
    with connection.cursor() as cursor:
        cursor.execute(question)
        return str(cursor.fetchone()[0])
