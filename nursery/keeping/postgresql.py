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

from nursery.keeping.errors import CannotKeep

DEBIAN = Path("/usr/lib/postgresql")


def dump(draft: Path) -> None:
    """Write the database as it stands at one moment, in pg_dump's own form."""
    _run("pg_dump", "--format=custom", "--no-owner", f"--file={draft}", f"--dbname={_name()}")


@contextmanager
def restored(path: Path) -> Iterator[tuple[str, object]]:
    """Read what pg_dump wrote into a database of its own, and drop that afterwards."""
    name = f"{_name()}_proof_{os.getpid()}"
    read_into(path, name)
    try:
        with psycopg.connect(**_place(name)) as asked:
            asked.read_only = True
            yield url_of(name), lambda words: asked.execute(words).fetchall()
    finally:
        drop(name)


def read_into(path: Path, name: str) -> None:
    """Make a database and read a copy into it; a copy that cannot be read leaves none."""
    try:
        _do(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
    except psycopg.Error as error:
        raise CannotKeep(
            "The copy cannot be proved: this account of PostgreSQL may not create a database. "
            "Give it the right CREATEDB."
        ) from error
    try:
        _run("pg_restore", "--no-owner", "--exit-on-error", f"--dbname={name}", str(path))
    except CannotKeep:
        drop(name)
        raise


def drop(name: str) -> None:
    """Drop a database that was made here."""
    _do(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))


def put_in_place(new: str, old: str) -> None:
    """Give the database its new content under its own name, and keep the old one as `old`.

    Both names change in one transaction, so there is always one ledger under the name.
    """
    name = _name()
    with psycopg.connect(**_place("postgres")) as asked:
        asked.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
            "WHERE datname = ANY(%s) AND pid <> pg_backend_pid()",
            [[name, new]],
        )
        for before, after in ((name, old), (new, name)):
            words = sql.SQL("ALTER DATABASE {} RENAME TO {}")
            asked.execute(words.format(sql.Identifier(before), sql.Identifier(after)))


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


def _do(statement: sql.Composable) -> None:
    with psycopg.connect(**_place("postgres"), autocommit=True) as asked:
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
    wanted = connection.pg_version // 10_000
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
