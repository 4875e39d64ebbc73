"""Ledgers of an older version, filled with what today's small nursery holds."""

import os
from contextlib import contextmanager
from pathlib import Path

from django.db import connection, connections, transaction
from django.db.migrations.executor import MigrationExecutor

from nursery.keeping import postgresql
from tests.faults import power

# Before sizes, sprayings, requests from the web and the record of who did what.
OLDER = [("inventory", "0017_target"), ("sales", "0020_public_list"), ("nursery", None)]
REST = ("auth", "contenttypes", "sessions", "axes")


def tables() -> dict[str, list[tuple]]:
    """Return every row of ours, {table: [its columns, its rows]}."""
    found = {}
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            if table.startswith(("inventory_", "sales_")):
                cursor.execute(f"SELECT * FROM {table}")
                found[table] = [[column[0] for column in cursor.description], cursor.fetchall()]
    return found


def make_older(rows: dict) -> None:
    """Bring an empty database up to the older version, and write the rows that fit it."""
    executor = MigrationExecutor(connection)
    executor.loader.replace_migrations = False
    executor.loader.build_graph()
    leaves = [leaf for leaf in executor.loader.graph.leaf_nodes() if leaf[0] in REST]
    executor.migrate([*(step for step in OLDER if step[1]), *leaves])
    with transaction.atomic(), connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            if table in rows:
                _fill(cursor, table, *rows[table])


def _fill(cursor, table, columns, rows):
    """Write the rows of a table, and none beside them: standard ones may bear other keys there."""
    cursor.execute(f"DELETE FROM {table}")
    if not rows:
        return
    there = {one.name for one in connection.introspection.get_table_description(cursor, table)}
    chosen = [number for number, name in enumerate(columns) if name in there]
    names = ", ".join(f'"{columns[number]}"' for number in chosen)
    marks = ", ".join(["%s"] * len(chosen))
    cursor.executemany(
        f"INSERT INTO {table} ({names}) VALUES ({marks})",
        [tuple(row[number] for number in chosen) for row in rows],
    )


def version() -> set[tuple[str, str]]:
    """Return the migrations that a database says it has."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT app, name FROM django_migrations")
        return set(cursor.fetchall())


@contextmanager
def another_database(folder: Path, name: str, like: str = ""):
    """Let the ledger be another database for a while: an empty one, or a copy of one before."""
    if connection.vendor == "sqlite":
        path = power.copied(folder / like, folder, name) if like else folder / name
        with power.opened(path):
            yield
        return
    ours, name = f"{name}_{os.getpid()}", f"{name}_{os.getpid()}"
    template = f"TEMPLATE {like}_{os.getpid()}" if like else ""
    _administer(f"DROP DATABASE IF EXISTS {ours}", f"CREATE DATABASE {ours} {template}")
    with power.opened(ours):
        yield


def _administer(*statements: str) -> None:
    connections.close_all()
    with connection._nodb_cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def drop(kept: str) -> None:
    """Let go of the ledger that a restore kept, by the words it was told in."""
    if connection.vendor == "postgresql":
        postgresql.drop(kept.removeprefix("the database "))
    else:
        Path(kept).unlink()
