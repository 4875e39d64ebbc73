"""Bring a copy back in the ledger's place, proved before and after; the old ledger is kept.

All is made ready beside the ledger first. What changes places at the end does so in one step,
so whenever this is broken off, either the old ledger is there or the new one, whole.
"""

import os
import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import psycopg
from django.conf import settings
from django.db import Error, connection

from nursery.keeping import engines, postgresql, proof
from nursery.keeping.backups import STAMP, note_of, read_note
from nursery.keeping.errors import CannotKeep
from nursery.keeping.whole_files import (
    BESIDE_SQLITE,
    hash_of,
    on_disk,
    put_in_place,
    refuse_without_room,
    remove_draft,
)

# What holds the ledger's place meanwhile, as others are told.
UNDER_WAY = "the restore of a copy"
IS_OPEN = ("SQLITE_BUSY", "SQLITE_LOCKED")


@dataclass(frozen=True)
class Found:
    """What a copy holds: how many movements and documents, of whom, until when."""

    movements: int
    documents: int
    newest_entry: str
    nursery: str

    def __str__(self):
        until = self.newest_entry[:16].replace("T", " ") or "never"
        return (
            f"{self.nursery or 'a nursery without a name'}: {self.movements:,} movements, "
            f"{self.documents:,} documents, last entry {until}"
        )


def look_at(path: Path) -> Found:
    """Open a copy and return what it holds. Raises CannotKeep where it is no good."""
    _refuse_another_engine(path)
    if not path.is_file():
        raise CannotKeep(f"{path} is not there.")
    note = read_note(path, datetime.now(UTC))
    if note.sha256 and note.sha256 != hash_of(path):
        raise CannotKeep(
            f"{path} is not as it was made: its hash differs from {note_of(path).name}. "
            "Take another copy."
        )
    with engines.opened(path) as copy:
        try:
            newer = sorted(copy.migrations() - engines.known_migrations())
            found = Found(**copy.facts())
        except (sqlite3.Error, psycopg.Error) as error:
            raise CannotKeep(f"The copy holds no ledger: {error}") from error
    if newer:
        raise CannotKeep(
            f"The copy is of a later version of this program: it has {newer[0][1]}. "
            "Install that version first."
        )
    return found


def replaced() -> Found | None:
    """Return what the ledger holds that a copy would replace; None where it cannot be read."""
    if connection.vendor == "sqlite" and not Path(connection.settings_dict["NAME"]).exists():
        return None
    try:
        return Found(**engines.itself().facts())
    except Error:
        return None
    finally:
        connection.close()


def restore(path: Path, *, say: Callable[[str], None] = lambda words: None) -> str:
    """Put a copy in the ledger's place, and return the name under which the old one is kept.

    Call `look_at` first. Raises CannotKeep, with the ledger as it was, where there is no room,
    where somebody has the ledger open, and where the copy does not hold once it is brought up to
    this version.
    """
    old = f"before-{datetime.now(UTC).strftime(STAMP)}"
    bring = _restore_postgresql if connection.vendor == "postgresql" else _restore_sqlite
    try:
        _bring_kept_files(path)
        return bring(path, old, say)
    except OSError as error:
        words = f"{error.strerror or error}. The ledger is as it was."
        raise CannotKeep(f"The copy could not be brought: {words}") from error


def _restore_sqlite(path, old, say):
    place = Path(connection.settings_dict["NAME"])
    draft = draft_beside(place)
    # Told before the long work, and looked at again after it.
    connection.close()
    if place.exists():
        _close_old(place)
    remove_draft(draft)
    # New tables may take as much again while they are made.
    refuse_without_room(place.parent, 2 * path.stat().st_size)
    try:
        shutil.copyfile(path, draft)
        draft.chmod(0o600)
        _make_ready(f"sqlite:///{draft.as_posix()}", say)
        engines.settle(draft)
        return change_places(place, draft, old)
    finally:
        remove_draft(draft)


def draft_beside(place: Path) -> Path:
    """Name the file in which a copy is made ready to take the ledger's place."""
    return place.with_name(f"{place.name}.coming")


def second_names(place: Path) -> list[Path]:
    """Return the names under which an old ledger was to be kept that is still in its place."""
    names = place.parent.glob(f"{place.stem}-before-*{place.suffix}")
    return sorted(name for name in names if place.exists() and name.samefile(place))


def change_places(place: Path, draft: Path, old: str) -> str:
    """Put a finished draft in the ledger's place; return where the old one is kept as `old`."""
    connection.close()
    kept = place.with_name(f"{place.stem}-{old}{place.suffix}")
    if place.exists():
        _close_old(place)
        # Until the last step the old ledger has two names, so it is never without one. It has a
        # journal beside it only where it is too broken to be opened.
        for ending in ("", "-wal"):
            if (file := place.with_name(f"{place.name}{ending}")).exists():
                _link(file, kept.with_name(f"{kept.name}{ending}"))
    for ending in BESIDE_SQLITE:
        place.with_name(f"{place.name}{ending}").unlink(missing_ok=True)
    put_in_place(draft, place)
    return str(kept) if kept.exists() else ""


def _close_old(place: Path) -> None:
    """Bring what stands in the old ledger's journal into its file; a broken one stays so.

    Only who is alone with a ledger can do without its journal. Raises CannotKeep where another
    process has it open: what that entered from here on would go into the old one.
    """
    try:
        engines.settle(place)
    except sqlite3.Error as error:
        if getattr(error, "sqlite_errorname", "").startswith(IS_OPEN):
            raise CannotKeep(
                "Another program has the ledger open, perhaps a command or a console. End it "
                "first. The ledger is as it was."
            ) from error


def _link(file: Path, name: Path) -> None:
    try:
        os.link(file, name)
    except OSError:
        shutil.copyfile(file, name)
        on_disk(name)
    on_disk(name.parent)


def _restore_postgresql(path, old, say):
    new, kept = postgresql.beside("_coming"), postgresql.beside(f"_{old}")
    connection.close()
    postgresql.drop(new)
    postgresql.read_into(path, new)
    try:
        _make_ready(postgresql.url_of(new), say)
        return f"the database {kept}" if postgresql.put_in_place(new, kept) else ""
    except CannotKeep:
        postgresql.drop(new)
        raise


def _make_ready(url: str, say) -> None:
    """Bring a copy up to this version and prove its books."""
    say("Bringing the copy up to this version ...")
    done = proof.command_on(url, "migrate", "--noinput", "-v", "0")
    if done.returncode:
        raise CannotKeep(f"The copy cannot be brought up to date: {proof.last_words(done)}")
    say("Proving the copy ...")
    if trouble := proof.of_another(url):
        raise CannotKeep(f"{trouble}\nThe ledger is as it was.")


def _bring_kept_files(path: Path) -> None:
    """Bring back the files people handed in, those that are not here."""
    for file in sorted((path.parent / "kept").glob("*.*")):
        here = settings.DATA / "kept" / file.name
        if not here.exists():
            here.parent.mkdir(parents=True, exist_ok=True)
            draft = here.with_name(f"{here.name}.part")
            shutil.copyfile(file, draft)
            put_in_place(draft, here)


def _refuse_another_engine(path: Path) -> None:
    is_file = path.suffix != ".dump"
    if is_file == (connection.vendor == "postgresql"):
        there = "SQLite" if is_file else "PostgreSQL"
        raise CannotKeep(
            f"The copy is of a ledger on {there}, and this one is not. Bring it back into one on "
            f"{there}, then carry it over: python3 manage.py transfer"
        )
