"""PostgreSQL's own programs, and databases made and renamed for a while."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

import psycopg
from django.db import connection
from psycopg import sql

from nursery.keeping.errors import CannotKeep, MayNotMakeDatabases

# PostgreSQL cuts a longer name off without a word.
LONGEST_NAME = 63
DEBIAN = Path("/usr/lib/postgresql")


def dump(draft: Path) -> None:
    """Write the database as it stands at one moment, in pg_dump's own form."""
    _run("pg_dump", "--format=custom", "--no-owner", f"--file={draft}", f"--dbname={_name()}")


@contextmanager
def restored(path: Path) -> Iterator[tuple[str, object]]:
    """Read what pg_dump wrote into a database of its own, and drop that afterwards."""
    name = beside(f"_proof_{os.getpid()}")
    read_into(path, name)
    try:
        with psycopg.connect(**_place(name)) as asked:
            asked.read_only = True
            yield url_of(name), lambda words: asked.execute(words).fetchall()
    finally:
        drop(name)


def read_into(path: Path, name: str) -> None:
    """Make a database and read a copy into it; a copy that cannot be read leaves none."""
    # The other template is in use whenever somebody is connected to it.
    _do(sql.SQL("CREATE DATABASE {} TEMPLATE template0").format(sql.Identifier(name)))
    try:
        _run("pg_restore", "--no-owner", "--exit-on-error", f"--dbname={name}", str(path))
    except CannotKeep:
        drop(name)
        raise


def drop(name: str) -> None:
    """Drop a database that was made here."""
    _do(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))


def read_through(path: Path) -> None:
    """Read all of what pg_dump wrote, into nothing. Raises CannotKeep where it cannot be read."""
    _run("pg_restore", f"--file={os.devnull}", str(path))


def put_in_place(new: str, old: str) -> bool:
    """Give the database its new content under its own name, and keep the old one as `old`.

    Both names change in one transaction, so there is always one ledger under the name. Returns
    whether there was an old one. Raises CannotKeep, nothing changed, where somebody is in it.
    """
    name = _name()
    with _asked() as asked:
        there = asked.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone()
        names = [(name, old), (new, name)] if there else [(new, name)]
        for before, after in names:
            words = sql.SQL("ALTER DATABASE {} RENAME TO {}")
            asked.execute(words.format(sql.Identifier(before), sql.Identifier(after)))
    return bool(there)


def beside(ending: str) -> str:
    """Name a database that belongs beside the ledger's, short enough to be kept whole."""
    return _name()[: LONGEST_NAME - len(ending)] + ending


def left_over() -> list[str]:
    """Name the databases that a proof or a restore broken off has left, where nobody is in one."""
    with _asked() as asked:
        rows = asked.execute(
            "SELECT datname FROM pg_database WHERE (datname = %s OR starts_with(datname, %s)) "
            "AND NOT EXISTS (SELECT 1 FROM pg_stat_activity a WHERE a.datid = pg_database.oid)",
            [beside("_coming"), beside("_proof_")],
        )
        return sorted(name for (name,) in rows)


def url_of(name: str) -> str:
    """Return the address of another database of the same server."""
    place = {key: quote(str(value or ""), safe="") for key, value in _place(name).items()}
    who = f"{place['user']}:{place['password']}" if place["password"] else place["user"]
    where = f"{place['host']}:{place['port']}" if place["port"] else place["host"]
    secured = f"?sslmode={place['sslmode']}" if place["sslmode"] else ""
    return f"postgres://{who}@{where}/{place['dbname']}{secured}"


def _name() -> str:
    return connection.settings_dict["NAME"]


def _place(name: str) -> dict:
    settings = connection.settings_dict
    keys = (("host", "HOST"), ("port", "PORT"), ("user", "USER"), ("password", "PASSWORD"))
    place = {key: settings[there] or None for key, there in keys}
    return {"dbname": name, "sslmode": settings["OPTIONS"].get("sslmode"), **place}


@contextmanager
def _asked(autocommit: bool = False) -> Iterator[psycopg.Connection]:
    """Ask the server beside the ledger's own database, which may be missing or change its name."""
    try:
        with psycopg.connect(**_place("postgres"), autocommit=autocommit) as asked:
            yield asked
    except psycopg.errors.InsufficientPrivilege as error:
        raise MayNotMakeDatabases(
            "This account of PostgreSQL may not create or rename a database. As its administrator: "
            f"ALTER ROLE {connection.settings_dict['USER']} CREATEDB"
        ) from error
    except psycopg.errors.ObjectInUse as error:
        raise CannotKeep(
            "Somebody is connected to the database. Stop what that is first."
        ) from error
    except psycopg.Error as error:
        raise CannotKeep(f"PostgreSQL says: {error}") from error


def _do(statement: sql.Composable) -> None:
    with _asked(autocommit=True) as asked:
        asked.execute(statement)


def _run(program: str, *words: str) -> None:
    """Run one of PostgreSQL's programs on this server. Raises CannotKeep with what it said."""
    settings = connection.settings_dict
    place = {
        "PGHOST": settings["HOST"],
        "PGPORT": settings["PORT"],
        "PGUSER": settings["USER"],
        "PGPASSWORD": settings["PASSWORD"],
        "PGSSLMODE": settings["OPTIONS"].get("sslmode"),
    }
    environment = os.environ | {key: str(value) for key, value in place.items() if value}
    done = subprocess.run(
        [_program(program), *words], env=environment, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise CannotKeep(f"{program} says: {done.stderr.strip()}")


def _program(name: str) -> str:
    """Find a program of the server's version or a later one; an older one refuses to read it."""
    with _asked() as asked:
        wanted = asked.info.server_version // 10_000
    beside = {
        int(folder.name): folder / "bin" / name
        for folder in DEBIAN.glob("*")
        if folder.name.isdigit() and (folder / "bin" / name).exists()
    }
    fitting = [path for version, path in sorted(beside.items()) if version >= wanted]
    found = str(fitting[0]) if fitting else shutil.which(name)
    if found is None:
        raise CannotKeep(
            f"The program {name} is missing. Install PostgreSQL's client programs, version "
            f"{wanted} or later (on Debian: apt-get install postgresql-client)."
        )
    return found
