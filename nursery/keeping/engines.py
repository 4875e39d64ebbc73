"""Copy, open and replace a database: as a file of SQLite, or by PostgreSQL's own programs."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from nursery.keeping import postgresql
from nursery.keeping.errors import CannotKeep

FACTS = {
    "movements": "SELECT count(*) FROM inventory_movement",
    "documents": "SELECT count(*) FROM sales_document",
    "newest_entry": "SELECT max(entered_at) FROM inventory_operation",
    "nursery": "SELECT max(name) FROM inventory_nursery",
}


OUR_APPS = ("inventory", "nursery", "sales")
# A nursery that said its name, or one that began without.
BEGUN = ("inventory_nursery", "inventory_movement")


@dataclass(frozen=True)
class Opened:
    """A copy that can be asked. `url` is its address for a command of its own."""

    url: str
    ask: Callable[[str], list[tuple]]

    def facts(self) -> dict:
        """Return what the copy holds, in numbers."""
        found = {name: self.ask(statement)[0][0] for name, statement in FACTS.items()}
        return {
            name: value if isinstance(value, int) else str(value or "")
            for name, value in found.items()
        }

    def version(self) -> str:
        """Name the last migration of each of our apps, as "inventory 0020_spraying, …"."""
        last = {app: name for app, name in sorted(self.migrations()) if app in OUR_APPS}
        return ", ".join(f"{app} {name}" for app, name in last.items())

    def migrations(self) -> set[tuple[str, str]]:
        """Return the migrations the copy has had, as (app, name)."""
        return set(self.ask("SELECT app, name FROM django_migrations"))


def ending() -> str:
    """Return what a copy's name ends in."""
    return "dump" if connection.vendor == "postgresql" else "sqlite3"


def is_of_this_version() -> bool:
    """Say whether the ledger has all the tables of this version."""
    executor = MigrationExecutor(connection)
    return not executor.migration_plan(executor.loader.graph.leaf_nodes())


def known_migrations() -> set[tuple[str, str]]:
    """Return every migration this program knows, as (app, name), those replaced among them."""
    loader = MigrationLoader(None, ignore_no_migrations=True)
    known = set(loader.disk_migrations)
    for migration in loader.disk_migrations.values():
        known |= set(migration.replaces)
    return known


def has_begun() -> bool:
    """Say whether there is a ledger that somebody has entered something in."""
    if connection.vendor == "sqlite" and not _path().exists():
        # To ask would make an empty file.
        return False
    there = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for table in there.intersection(BEGUN):
            cursor.execute(f"SELECT 1 FROM {table} LIMIT 1")
            if cursor.fetchone():
                return True
    return False


def itself() -> Opened:
    """Open the ledger at work as a copy is opened, to compare them."""

    def ask(statement):
        with connection.cursor() as cursor:
            cursor.execute(statement)
            return cursor.fetchall()

    return Opened("", ask)


def size() -> int:
    """Return how many bytes a copy may take."""
    if connection.vendor == "sqlite":
        return _path().stat().st_size
    # pg_dump leaves indexes out and packs the rest: this is more than enough.
    return itself().ask("SELECT pg_database_size(current_database())")[0][0] // 2


def copy_to(draft: Path) -> None:
    """Copy the ledger as it stands at one moment, while others write. Raises CannotKeep."""
    if connection.vendor == "postgresql":
        postgresql.dump(draft)
        return
    # One step reads one state of the database; in WAL mode nobody waits for it.
    source = sqlite3.connect(f"{_path().as_uri()}?mode=ro", uri=True)
    try:
        with closing(source), closing(sqlite3.connect(draft)) as copy:
            source.backup(copy)
        settle(draft)
    except sqlite3.Error as error:
        raise CannotKeep(f"No copy was made: {error}.") from error


@contextmanager
def opened(path: Path) -> Iterator[Opened]:
    """Open a copy to look into it. Raises CannotKeep, in words, where it does not hold.

    A SQLite file is opened where it lies. What pg_dump wrote is first read into a database
    of its own, which is gone afterwards.
    """
    if path.suffix == ".dump" or ".dump." in path.name:
        with postgresql.restored(path) as (url, ask):
            yield Opened(url, ask)
        return
    try:
        # Where no journal stands beside it, a copy is read as it lies, also from a closed disk.
        how = "mode=ro" if path.with_name(f"{path.name}-wal").exists() else "immutable=1"
        with closing(sqlite3.connect(f"{path.as_uri()}?{how}", uri=True)) as file:
            _look_through(file)
            yield Opened(
                f"sqlite:///{path.as_posix()}", lambda words: file.execute(words).fetchall()
            )
    except sqlite3.Error as error:
        raise CannotKeep(f"The copy cannot be read: {error}.") from error


def settle(path: Path) -> None:
    """Bring all of a SQLite file into the one file, as it is kept."""
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA journal_mode=DELETE")


def _look_through(file: sqlite3.Connection) -> None:
    (found,) = file.execute("PRAGMA integrity_check(1)").fetchone()
    if found != "ok":
        raise CannotKeep(f"The copy is damaged: {found}.")
    if file.execute("PRAGMA foreign_key_check").fetchone():
        raise CannotKeep("The copy is damaged: a row names another that is not there.")


def _path() -> Path:
    return Path(connection.settings_dict["NAME"])
