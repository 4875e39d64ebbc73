"""Read, write and compare whole tables, a few thousand rows at a time."""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from django.db.backends.base.base import BaseDatabaseWrapper

from nursery.homes.tables import Table

AT_A_TIME = 2_000


@dataclass
class Sum:
    """How many rows a table has, and a digest of all of them in the order of their keys."""

    rows: int = 0
    digest: object = field(default_factory=hashlib.sha256)

    def add(self, table: Table, rows: list[tuple]) -> None:
        """Add some rows. Both ends are read in equal pieces."""
        compared = [(n, c.compared()) for n, c in enumerate(table.columns) if c.compared()]
        if compared:
            rows = [_as_compared(row, compared) for row in rows]
        self.rows += len(rows)
        self.digest.update(repr(rows).encode())

    def __eq__(self, other: "Sum") -> bool:
        return (self.rows, self.digest.digest()) == (other.rows, other.digest.digest())


def _as_compared(row: tuple, compared: list) -> tuple:
    changed = list(row)
    for n, write in compared:
        if changed[n] is not None:
            changed[n] = write(changed[n])
    return tuple(changed)


def pieces(connection: BaseDatabaseWrapper, table: Table) -> Iterator[list[tuple]]:
    """Yield all rows of a table, some thousands at a time, without holding more."""
    with connection.chunked_cursor() as cursor:
        cursor.execute(table.select(connection.vendor))
        while rows := cursor.fetchmany(AT_A_TIME):
            yield rows


def sum_of(connection: BaseDatabaseWrapper, table: Table) -> Sum:
    """Count and digest a table as it stands there."""
    total = Sum()
    for rows in pieces(connection, table):
        total.add(table, rows)
    return total


def write(connection: BaseDatabaseWrapper, table: Table, rows: list[tuple]) -> None:
    """Insert rows under the keys they have."""
    names = ", ".join(f'"{column.name}"' for column in table.columns)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f'COPY "{table.name}" ({names}) FROM STDIN') as copy:
                for row in rows:
                    copy.write_row(row)
        else:
            places = ", ".join(["%s"] * len(table.columns))
            cursor.executemany(f'INSERT INTO "{table.name}" ({names}) VALUES ({places})', rows)


def look_at_keys_at_once(connection: BaseDatabaseWrapper, tables: Iterable[Table]) -> None:
    """Have PostgreSQL look at a row's keys as it comes, so that it need not remember all rows.

    What names rows of its own table waits for the end, since such a row may come before the one
    it names. SQLite only counts what is missing.
    """
    if connection.vendor != "postgresql":
        return
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute(
            "SELECT quote_ident(conname) FROM pg_constraint WHERE contype = 'f' AND condeferrable "
            "AND conrelid = confrelid AND conrelid = ANY(%s::regclass[])",
            [[f'"{table.name}"' for table in tables]],
        )
        if own := [name for (name,) in cursor.fetchall()]:
            cursor.execute(f"SET CONSTRAINTS {', '.join(own)} DEFERRED")


def last_number(connection: BaseDatabaseWrapper, table: Table) -> int:
    """Return the last number that the database gave a row of the table, kept or not."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT pg_get_serial_sequence(%s, %s)", [f'"{table.name}"', table.key.name]
            )
            (sequence,) = cursor.fetchone()
            cursor.execute(f"SELECT CASE WHEN is_called THEN last_value ELSE 0 END FROM {sequence}")
        else:
            cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table.name])
        found = cursor.fetchone()
        return found[0] if found else 0


def number_on_from(connection: BaseDatabaseWrapper, table: Table, last: int) -> None:
    """Let the next row of the table get the number after that one."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT setval(pg_get_serial_sequence(%s, %s), greatest(%s, 1), %s)",
                [f'"{table.name}"', table.key.name, last, last > 0],
            )
        else:
            cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [table.name])
            cursor.execute("INSERT INTO sqlite_sequence VALUES (%s, %s)", [table.name, last])
