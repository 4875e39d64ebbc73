"""Ledgers to measure on, on the PostgreSQL server that DATABASE_URL names."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.core.management import call_command
from django.db import connection

from tests.benchmarks import opened
from tests.benchmarks.multiplied import OLD, TIMES, multiply

# Several processes at once would hide what a statement costs.
os.environ.setdefault("PGOPTIONS", "-c max_parallel_workers_per_gather=0")


def made(movements: int, folder: Path) -> str:
    """Return the database of so many movements, moving it in from its file where there is none.

    What is longer than files are filled is multiplied out of the next shorter database.
    """
    name = f"ledger_of_{movements}"
    if not _ask(f"SELECT 1 FROM pg_database WHERE datname = '{name}'"):
        draft = f"{name}_draft"
        _do(f"DROP DATABASE IF EXISTS {draft}")
        if movements > opened.LONGEST_FILLED:
            _lengthen(draft, made(movements // TIMES, folder))
        else:
            _move_in(draft, folder / f"{movements}.sqlite3")
        _do(f"ALTER DATABASE {draft} RENAME TO {name}")
    return name


def _move_in(name, path):
    _do(f"CREATE DATABASE {name}")
    call_command("transfer", opened.address_of(name), from_url=f"sqlite:///{path}")


def _lengthen(name, shorter):
    _do(f"CREATE DATABASE {name} TEMPLATE {shorter}")
    with opened.opened(name):
        _do(f"ALTER SCHEMA public RENAME TO {OLD}")
        _do("CREATE SCHEMA public")
        call_command("migrate", interactive=False, verbosity=0)
        multiply()
        _do(f"DROP SCHEMA {OLD} CASCADE")


@contextmanager
def copied(ledgers: dict[int, str]) -> Iterator[dict[int, str]]:
    """Give databases that may be written into, with what those ledgers hold."""
    copies = {size: f"{name}_copy" for size, name in ledgers.items()}
    try:
        for size, name in copies.items():
            _do(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
            _do(f"CREATE DATABASE {name} TEMPLATE {ledgers[size]}")
        yield copies
    finally:
        for name in copies.values():
            _do(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")


def processor_seconds() -> float:
    """Return what the server's process of this connection has used, where it can be seen."""
    if connection.vendor != "postgresql":
        return 0
    try:
        used = Path(f"/proc/{_pid()}/schedstat").read_text()
    except OSError:
        return 0
    return int(used.split()[0]) / 1e9


def _pid():
    connection.ensure_connection()
    return connection.connection.info.backend_pid


def _do(sql):
    with connection.cursor() as cursor:
        cursor.execute(sql)


def _ask(sql):
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return cursor.fetchone()
