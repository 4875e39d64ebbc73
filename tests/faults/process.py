"""A writer in a process of its own, with a connection of its own, that can be killed."""

import contextlib
import os
import signal
import time
import traceback
from collections.abc import Callable
from multiprocessing.connection import Connection, Pipe

from django.db import connection, connections

# Seconds after which a writer is stuck, however busy the machine is.
PATIENCE = 600


class Writer:
    """A forked process and the pipe it reports on; what it said before it died is read."""

    def __init__(self, work: Callable[[Connection], None]):
        connections.close_all()
        self.pipe, theirs = Pipe(duplex=False)
        self.pid = os.fork()
        if not self.pid:
            self.pipe.close()
            _work_and_die(work, theirs)
        theirs.close()

    def hear(self, timeout: float = PATIENCE) -> tuple | None:
        """Return the next thing it says, or None once it has died."""
        try:
            if not self.pipe.poll(timeout):
                raise AssertionError("A writer says nothing any more.")
            return self.pipe.recv()
        except (EOFError, OSError):
            return None

    def kill(self) -> None:
        """End it as a power switch would, if it still lives."""
        with contextlib.suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)

    def bury(self) -> list[tuple]:
        """Return what else it said, once it is dead, and let the system forget it."""
        heard = []
        while (said := self.hear()) is not None:
            heard.append(said)
        os.waitpid(self.pid, 0)
        self.pipe.close()
        return heard


def _work_and_die(work, pipe):
    """Run in the child: nothing of the parent's, such as its tests, may run on here."""
    try:
        work(pipe)
    except BaseException:
        with contextlib.suppress(OSError):
            pipe.send(("broken", traceback.format_exc()))
    finally:
        os._exit(0)


class Commits:
    """Counts the transactions that this process ends well, and tells of each before it."""

    def __init__(self, tell: Callable[[], None] = lambda: None):
        self.number = 0
        commit = connection._commit

        def told():
            self.number += 1
            tell()
            return commit()

        connection._commit = told


class DieAt:
    """An execute wrapper that kills its own process before one of its statements."""

    def __init__(self, statement: int):
        self.left = statement

    def __call__(self, execute, sql, params, many, context):
        if not self.left:
            os.kill(os.getpid(), signal.SIGKILL)
        self.left -= 1
        return execute(sql, params, many, context)


def pause(seconds: float) -> None:
    """Wait as exactly as the system can."""
    time.sleep(max(seconds, 0))
