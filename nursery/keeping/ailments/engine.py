"""Whether the database is there, whole, and of this version."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from functools import partial
from itertools import islice
from pathlib import Path

from django.db import Error, connection
from django.db.migrations.recorder import MigrationRecorder

from nursery import running
from nursery.keeping import engines, postgresql, restoring
from nursery.keeping.ailments.ailment import GRAVE, MEND, RESTORE, SMALL, Ailment
from nursery.keeping.whole_files import remove_draft

LARGE_JOURNAL = 64_000_000
# Of 2021; what is older has faults long mended, and Django may soon not take it.
OLDEST_SQLITE = (3, 37, 0)


def damage() -> Iterator[Ailment]:
    """See the file of a SQLite ledger is whole, row by row."""
    if connection.vendor != "sqlite":
        return
    path = Path(connection.settings_dict["NAME"])
    if not path.exists():
        way_out = f"{RESTORE}; or begin a new one: python3 manage.py up"
        yield Ailment(GRAVE, f"There is no ledger at {path}.", way_out)
        return
    try:
        with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as file:
            for (words,) in file.execute("PRAGMA integrity_check(5)"):
                if words != "ok":
                    yield Ailment(GRAVE, f"The ledger's file is damaged: {words}.", RESTORE)
            for table, row, *_ in islice(file.execute("PRAGMA foreign_key_check"), 5):
                yield Ailment(GRAVE, f"Row {row} of {table} names one that is missing.", RESTORE)
    except sqlite3.Error as error:
        yield Ailment(GRAVE, f"The ledger's file cannot be read: {error}.", RESTORE)


def answer() -> Iterator[Ailment]:
    """See the database answers."""
    try:
        connection.ensure_connection()
    except Error as error:
        where = connection.settings_dict
        way_out = "See that its server runs and that DATABASE_URL is right."
        if connection.vendor == "sqlite":
            way_out = f"See that this account may read and write {where['NAME']} and its folder."
        yield Ailment(GRAVE, f"The database does not answer: {error}".strip(), way_out)


def tables() -> Iterator[Ailment]:
    """See the tables are those of this version."""
    applied = set(MigrationRecorder(connection).applied_migrations())
    newer = sorted(applied - engines.known_migrations())
    if newer:
        words = f"The ledger is of a later version of this program: it has {newer[0][1]}."
        yield Ailment(GRAVE, words, "Install that version.")
    elif not engines.is_of_this_version():
        words = "The tables are those of an earlier version, or there are none yet."
        yield Ailment(GRAVE, words, "python3 manage.py migrate")


def journal() -> Iterator[Ailment]:
    """See SQLite is not old and can use its journal, in which it keeps what is new."""
    if connection.vendor != "sqlite":
        return
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        words = f"SQLite is {sqlite3.sqlite_version}, which is old."
        yield Ailment(SMALL, words, "Bring this machine, or its Python, up to date.")
    with connection.cursor() as cursor:
        (mode,) = cursor.execute("PRAGMA journal_mode").fetchone()
    if mode != "wal":
        words = f"The ledger's file cannot use its journal ({mode}): is it on a network drive?"
        yield Ailment(GRAVE, words, "Move it to a disk of this machine; NURSERY_DATA says where.")
    wal = Path(f"{connection.settings_dict['NAME']}-wal")
    if wal.exists() and wal.stat().st_size > LARGE_JOURNAL:
        words = f"The journal has grown to {wal.stat().st_size // 10**6:,} MB."
        yield Ailment(SMALL, words, f"Stop the ledger, then {MEND}", _empty_journal)


def leftovers() -> Iterator[Ailment]:
    """See nothing is left of a restore or a proof that was broken off."""
    if restoring.UNDER_WAY in running.addresses():
        return
    if connection.vendor == "postgresql":
        for name in postgresql.left_over():
            words = f"A restore or a proof was broken off and left the database {name}."
            yield Ailment(SMALL, words, MEND, partial(postgresql.drop, name))
        return
    place = Path(connection.settings_dict["NAME"])
    draft = restoring.draft_beside(place)
    if draft.exists():
        words = f"A restore was broken off: {draft.name}. The ledger is as it was."
        yield Ailment(SMALL, words, MEND, partial(remove_draft, draft))
    for name in restoring.second_names(place):
        words = f"A restore was broken off: {name.name} is a second name of the ledger itself."
        yield Ailment(SMALL, words, MEND, name.unlink)


def _empty_journal() -> None:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
