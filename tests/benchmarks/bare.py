"""The ledger's database without Django, to measure against: SQLite's module, or psycopg."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import psycopg
from django.db import connection
from psycopg.rows import tuple_row
from psycopg.types.json import Jsonb

from nursery.homes.address import SQLITE_OPTIONS
from tests.benchmarks.opened import address_of


class Bare:
    """An open database that takes statements with %s for what is given."""

    def __init__(self, link):
        self.link = link

    def ask(self, statement: str, given=()) -> list[tuple]:
        """Run a statement and return its rows."""
        if isinstance(self.link, sqlite3.Connection):
            return self.link.execute(statement.replace("%s", "?"), given).fetchall()
        given = [Jsonb(one) if isinstance(one, dict | list) else one for one in given]
        cursor = self.link.execute(statement, given)
        return cursor.fetchall() if cursor.description else []

    def columns(self, table: str) -> list[str]:
        """Return the names of a table's columns, in their order."""
        cursor = self.link.execute(f"SELECT * FROM {table} LIMIT 0")
        return [name for name, *_ in cursor.description]

    def begin(self) -> None:
        """Begin to write, as the ledger does."""
        is_file = isinstance(self.link, sqlite3.Connection)
        self.link.execute("BEGIN IMMEDIATE" if is_file else "BEGIN")

    def commit(self) -> None:
        self.link.execute("COMMIT")


@contextmanager
def bare(where: Path | str) -> Iterator[Bare]:
    """Open a ledger by its file or its database, as safe from power cuts as the program's own."""
    if connection.vendor == "postgresql":
        link = psycopg.connect(address_of(str(where)), autocommit=True, row_factory=tuple_row)
    else:
        link = sqlite3.connect(where, isolation_level=None)
        link.executescript(SQLITE_OPTIONS["init_command"])
    with closing(link):
        yield Bare(link)
