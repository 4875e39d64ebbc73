"""Whether the ledger is well: what an outside watch asks, and what the owner reads in Settings."""

import shutil
import sqlite3
import time
from datetime import datetime, timedelta
from pathlib import Path
from threading import Lock
from typing import NamedTuple

from django.conf import settings
from django.db import DatabaseError, InterfaceError, connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone
from django.utils.formats import date_format

from inventory.queries.clock import is_behind, newest_entry
from nursery.keeping import backups, proof

OK, WORN, DOWN = "ok", "worn", "down"
GRAVITY = (OK, WORN, DOWN)
MEGABYTE = 1_000_000
LITTLE_ROOM, NO_ROOM = 500 * MEGABYTE, 50 * MEGABYTE
# A copy is made once a day while the ledger runs; a nursery may be shut for a weekend.
COPY_GROWS_OLD = timedelta(days=4)
PROOF_GROWS_OLD = timedelta(days=35)
# However often it is asked, the machine is looked at this often.
KEPT_SECONDS = 5
WAIT_TO_WRITE = 0.2


class Finding(NamedTuple):
    """What one look found: how it is, and in words for the owner."""

    name: str
    state: str
    words: str


class Health(NamedTuple):
    """All that was found, and the gravest of it."""

    findings: tuple[Finding, ...]

    @property
    def state(self) -> str:
        """Return the gravest state."""
        return max((one.state for one in self.findings), key=GRAVITY.index)


_are_right = False
_kept: tuple[float, Health] | None = None
_one_looks = Lock()


def health() -> Health:
    """Return how the ledger is, as it was found at most some seconds ago."""
    global _kept
    with _one_looks:
        if _kept is None or time.monotonic() - _kept[0] > KEPT_SECONDS:
            _kept = time.monotonic(), look()
        return _kept[1]


def look() -> Health:
    """Look at everything now."""
    return Health((_database(), _disk(), _migrations(), _clock(), _copy(), _proof()))


def _database() -> Finding:
    """Ask for an answer, and whether an entry could be written."""
    try:
        can_write = _can_write()
    except (DatabaseError, InterfaceError, sqlite3.Error):
        return Finding("database", DOWN, "The database does not answer.")
    if not can_write:
        return Finding("database", DOWN, "The database answers, but nothing can be entered.")
    return Finding("database", OK, "The database answers and takes entries.")


def _can_write() -> bool:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SHOW transaction_read_only")
            return cursor.fetchone()[0] == "off"
    return _sqlite_can_write(Path(connection.settings_dict["NAME"]))


def _sqlite_can_write(path: Path) -> bool:
    """Begin to write and let it be, on a connection of its own: the usual one waits for long."""
    asked = sqlite3.connect(f"{path.as_uri()}?mode=rw", uri=True, timeout=WAIT_TO_WRITE)
    try:
        asked.execute("BEGIN IMMEDIATE")
        asked.execute("ROLLBACK")
        asked.execute("SELECT count(*) FROM django_migrations").fetchone()
    except sqlite3.OperationalError as error:
        # Somebody is writing: then it can be written to.
        return error.sqlite_errorcode == sqlite3.SQLITE_BUSY or _known_failure(error)
    finally:
        asked.close()
    return True


def _known_failure(error: sqlite3.OperationalError) -> bool:
    if error.sqlite_errorname.startswith("SQLITE_READONLY"):
        return False
    raise error


def _disk() -> Finding:
    """Look for room where the ledger writes."""
    folders = {settings.DATA}
    if connection.vendor == "sqlite":
        folders.add(Path(connection.settings_dict["NAME"]).parent)
    try:
        free = min(shutil.disk_usage(folder).free for folder in folders)
    except OSError:
        return Finding("disk", DOWN, "The folder of the ledger is not there.")
    state = DOWN if free < NO_ROOM else WORN if free < LITTLE_ROOM else OK
    return Finding("disk", state, f"{free // MEGABYTE:,} MB are free on the disk.")


def _migrations() -> Finding:
    """See that the tables are those of this version."""
    try:
        as_they_should = _tables_are_right()
    except (DatabaseError, InterfaceError):
        return Finding("tables", DOWN, "The database does not say of which version it is.")
    if not as_they_should:
        return Finding("tables", DOWN, "The tables are of an earlier version than the program.")
    return Finding("tables", OK, "The tables are those of this version.")


def _tables_are_right() -> bool:
    """Say whether no migration waits. That stays so while the program runs, so it is asked once."""
    global _are_right
    if not _are_right:
        executor = MigrationExecutor(connection)
        _are_right = not executor.migration_plan(executor.loader.graph.leaf_nodes())
    return _are_right


def _clock() -> Finding:
    """See that the clock has not gone back behind what was entered."""
    try:
        newest = newest_entry()
    except (DatabaseError, InterfaceError):
        return Finding("clock", WORN, "Whether the clock is right could not be seen.")
    if is_behind(newest):
        return Finding("clock", WORN, f"The clock is behind: an entry was made {_when(newest)}.")
    return Finding("clock", OK, "The clock is not behind what was entered.")


def _copy() -> Finding:
    """See when the last copy was made, and whether it was proved."""
    if settings.BACKUPS is None:
        return Finding("copy", WORN, "Copies are switched off.")
    copy = backups.newest()
    if copy is None:
        return Finding("copy", WORN, "No copy of the ledger has been made yet.")
    state = OK if copy.is_proven and timezone.now() - copy.at < COPY_GROWS_OLD else WORN
    proved = "proven" if copy.is_proven else "not proven"
    return Finding("copy", state, f"Last copy: {_when(copy.at)}, {proved}.")


def _proof() -> Finding:
    """See when the books were last proved, and whether they held."""
    done = proof.last()
    if done is None:
        return Finding("proof", WORN, "The books have not been proved yet.")
    if not done.holds:
        return Finding("proof", DOWN, f"The books did not agree, as proved {_when(done.at)}.")
    state = OK if timezone.now() - done.at < PROOF_GROWS_OLD else WORN
    return Finding("proof", state, f"Books last proved: {_when(done.at)}.")


def _when(moment: datetime) -> str:
    """Say a moment by the clock here: "today 18:02", "yesterday 18:02", "3 May 2026 18:02"."""
    local = timezone.localtime(moment)
    days = (timezone.localdate() - local.date()).days
    day = {0: "today", 1: "yesterday"}.get(days) or date_format(local, "j F Y")
    return f"{day} {local:%H:%M}"
