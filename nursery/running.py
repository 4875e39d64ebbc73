"""Know whether the ledger is already running, and where."""

import hashlib
import ipaddress
import json
import os
import socket
from pathlib import Path
from typing import IO

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders

from nursery import exclusive
from nursery.homes.address import SQLITE


def note_file(address: str = "", database: dict | None = None) -> Path:
    """Return the file that a server of this database holds while it runs there.

    A SQLite ledger has one server, so there is one note. On PostgreSQL several may run: each
    port has a note of its own.
    """
    database = database or settings.DATABASES["default"]
    port = "" if database["ENGINE"] == SQLITE else f"-{address.rpartition(':')[2]}"
    return settings.DATA / f"running-{short_name(database)}{port}.json"


def short_name(database: dict) -> str:
    """Return what tells a database from others in the names of files: twelve signs of a hash."""
    name = "|".join(str(database.get(key, "")) for key in ("ENGINE", "HOST", "PORT", "NAME"))
    return hashlib.sha256(name.encode()).hexdigest()[:12]


def take_note(address: str) -> IO[str] | None:
    """Hold the note of this database and write the address; None where another holds it."""
    file = exclusive.open_to_hold(note_file(address))
    if not exclusive.try_to_hold(file):
        file.close()
        return None
    file.truncate(0)
    json.dump({"address": address, "pid": os.getpid()}, file)
    file.flush()
    return file


def noted_address(address: str = "") -> str:
    """Return where the server that holds the note can be found."""
    return _address_in(note_file(address))


def addresses(database: dict | None = None) -> list[str]:
    """List where servers of a database run that were started on this machine and its folder."""
    note = note_file("*", database)
    return [_address_in(path) for path in sorted(note.parent.glob(note.name)) if _is_held(path)]


def _is_held(path: Path) -> bool:
    with exclusive.open_to_hold(path) as file:
        return not exclusive.try_to_hold(file)


def _address_in(path: Path) -> str:
    try:
        return json.loads(path.read_text(encoding="utf-8"))["address"]
    except (OSError, ValueError, KeyError):
        return "another address"


def port_is_free(host: str, port: int) -> bool:
    """Say whether this machine lets the server listen there."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        if os.name == "posix":
            # A port that a server left a moment ago is free; one that listens is not.
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
    return True


def static_fingerprint() -> str:
    """Return what changes when a style sheet or script does, read from names and times only."""
    lines = []
    for finder in get_finders():
        for name, storage in finder.list([]):
            seen = os.stat(storage.path(name))
            lines.append(f"{name} {seen.st_size} {seen.st_mtime_ns}")
    return hashlib.sha256("\n".join(sorted(lines)).encode()).hexdigest()


def is_loopback(host: str) -> bool:
    """Say whether only this machine can reach that address."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def reachable_as(host: str) -> str:
    """Return the address to type: for "every address", the one the network knows."""
    if host not in ("0.0.0.0", "::"):
        return host
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Choosing a route sends nothing; the address is one reserved for documentation.
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return "127.0.0.1"
        return probe.getsockname()[0]
