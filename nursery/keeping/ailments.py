"""What can be wrong with a ledger: each look yields what it found, and the way out."""

import os
import re
import sqlite3
import stat
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from importlib import metadata
from itertools import islice
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import Count, Max, Min
from django.utils import timezone

from inventory.models import Operation
from inventory.models.ledger import LedgerRow
from inventory.operations.rebuild import rebuild
from nursery import append_only, bootstrap, machine_needs
from nursery.keeping import backups, engines
from sales.models import Document

GRAVE, SMALL = "grave", "small"
OTHERS = stat.S_IRWXG | stat.S_IRWXO
LARGE_JOURNAL = 64_000_000
CLOCK_MAY_DIFFER = timedelta(minutes=5)
RESTORE = "Bring the newest proven copy back: python3 manage.py restore FILE"


@dataclass(frozen=True)
class Ailment:
    """Something wrong: how grave, in words, the way out, and what mends it where that is safe."""

    gravity: str
    words: str
    way_out: str
    mend: Callable[[], object] | None = None


def damage() -> Iterator[Ailment]:
    """Look through the file of a SQLite ledger, row by row."""
    if connection.vendor != "sqlite":
        return
    path = Path(connection.settings_dict["NAME"])
    if not path.exists():
        yield Ailment(GRAVE, f"There is no ledger at {path}.", f"{RESTORE}, or begin: manage.py up")
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


def tables() -> Iterator[Ailment]:
    """See that the tables are those of this version."""
    newer = sorted(set(_applied()) - engines.known_migrations())
    if newer:
        words = f"The ledger is of a later version of this program: it has {newer[0][1]}."
        yield Ailment(GRAVE, words, "Install that version.")
    elif not engines.is_of_this_version():
        words = "The tables are those of an earlier version, or there are none yet."
        yield Ailment(GRAVE, words, "python3 manage.py migrate")


def journal() -> Iterator[Ailment]:
    """Look at the journal in which SQLite keeps what is new."""
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        (mode,) = cursor.execute("PRAGMA journal_mode").fetchone()
    if mode != "wal":
        words = f"The ledger's file cannot use its journal ({mode}): is it on a network drive?"
        yield Ailment(GRAVE, words, "Move it to a disk of this machine; NURSERY_DATA says where.")
    wal = Path(f"{connection.settings_dict['NAME']}-wal")
    if wal.exists() and wal.stat().st_size > LARGE_JOURNAL:
        words = f"The journal has grown to {wal.stat().st_size // 10**6:,} MB."
        yield Ailment(SMALL, words, "Stop the ledger and start it again.", _empty_journal)


def guards() -> Iterator[Ailment]:
    """See that the database itself still refuses what the ledger forbids."""
    missing = sorted(_ledger_tables() - _guarded())
    if missing:
        words = f"Rows could be changed or deleted in {', '.join(missing)}."
        yield Ailment(
            GRAVE,
            words,
            "python3 manage.py doctor --mend",
            partial(append_only.install, missing, connection),
        )
    rules = {rule.name for model in apps.get_models() for rule in model._meta.constraints}
    if lost := sorted(rules - _rules()):
        yield Ailment(GRAVE, f"The database has lost {', '.join(lost)}.", RESTORE)


def books() -> Iterator[Ailment]:
    """Replay the ledger and compare it with what is kept beside it."""
    from nursery.management.commands.verify import PROOFS

    for proof in PROOFS:
        for words in islice(proof(), 3):
            yield Ailment(GRAVE, words, "python3 manage.py doctor --mend", rebuild)


def numbers() -> Iterator[Ailment]:
    """Look for gaps in the numbers of documents."""
    counted = {"first": Min("serial"), "last": Max("serial"), "number": Count("pk")}
    for row in Document.objects.values("series").annotate(**counted).order_by("series"):
        missing = row["last"] - row["first"] + 1 - row["number"]
        if missing:
            words = f"Series {row['series']} lacks {missing} of its numbers."
            yield Ailment(SMALL, words, "If they were never imported, ask an accountant.")


def clock() -> Iterator[Ailment]:
    """See whether this machine's clock was set back."""
    newest = Operation.objects.aggregate(at=Max("entered_at"))["at"]
    if newest and newest > timezone.now() + CLOCK_MAY_DIFFER:
        words = f"The newest entry was made at {newest:%Y-%m-%d %H:%M}, which is still to come."
        yield Ailment(SMALL, words, "Set this machine's clock right.")


def copies() -> Iterator[Ailment]:
    """Look at the folder of copies, and at what broken-off ones left."""
    place = settings.BACKUPS
    if place is None:
        yield Ailment(SMALL, "No copies are made.", "Take NURSERY_BACKUPS=off away.")
        return
    if not place.is_dir():
        return
    if place.stat().st_dev == settings.DATA.stat().st_dev:
        words = "The copies lie on the ledger's own disk: one broken disk takes both."
        yield Ailment(SMALL, words, "Let NURSERY_BACKUPS name a folder on another disk.")
    for path in sorted(place.glob("*.part")):
        words = f"A copy was broken off: {path.name}."
        yield Ailment(SMALL, words, "python3 manage.py doctor --mend", path.unlink)
    for path in sorted(place.glob(f"*-{backups.DOUBTFUL}.*")):
        if path.suffix != ".json":
            words = f"A copy did not hold: {path.name}."
            yield Ailment(SMALL, words, "Look at the ledger by this command, then delete it.")


def secrets() -> Iterator[Ailment]:
    """See that nobody else on this machine can read the ledger or its key."""
    if os.name != "posix":
        return
    for path in (settings.DATA, settings.DATA / "secret-key"):
        if path.exists() and path.stat().st_mode & OTHERS:
            words = f"Others on this machine can read {path}."
            yield Ailment(SMALL, words, f"chmod go-rwx {path}", partial(_close, path))


def machine() -> Iterator[Ailment]:
    """See that this machine has what the ledger was tried with."""
    if settings.DEBUG:
        yield Ailment(GRAVE, "DEBUG is on: faults show the ledger's inside.", "Switch it off.")
    if not machine_needs.pdf_libraries_are_there():
        packages = " ".join(machine_needs.PDF_PACKAGES)
        way_out = f"On Debian: apt-get install {packages}"
        yield Ailment(SMALL, "Papers cannot be set as PDF.", way_out)
    for name, wanted in _locked():
        try:
            there = metadata.version(name)
        except metadata.PackageNotFoundError:
            there = "missing"
        if there != wanted:
            words = f"{name} is {there}, and the ledger was tried with {wanted}."
            yield Ailment(SMALL, words, "Delete the folder .venv; the next start makes it anew.")


def _applied() -> Iterable[tuple[str, str]]:
    """Return the migrations the ledger has had, as (app, name)."""
    return MigrationRecorder(connection).applied_migrations()


def _ledger_tables() -> set[str]:
    return {row._meta.db_table for row in apps.get_models() if issubclass(row, LedgerRow)}


def _guarded() -> set[str]:
    """Return the tables that have all their triggers."""
    there = _asked(
        sqlite="SELECT name FROM sqlite_master WHERE type = 'trigger'",
        postgresql="SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'",
    )
    wanted = append_only.verbs(connection)
    return {
        table for table in _ledger_tables() if all(f"{table}_no_{verb}" in there for verb in wanted)
    }


def _rules() -> set[str]:
    """Return the names of the rules the database holds."""
    there = _asked(
        sqlite="SELECT sql FROM sqlite_master WHERE sql IS NOT NULL",
        postgresql="SELECT conname FROM pg_constraint UNION SELECT indexname FROM pg_indexes",
    )
    if connection.vendor == "postgresql":
        return there
    return {name for statement in there for name in re.findall(r'"(\w+)"', statement)}


def _asked(**statements: str) -> set[str]:
    """Ask the database what it has, in its own words."""
    with connection.cursor() as cursor:
        cursor.execute(statements[connection.vendor])
        return {name for (name,) in cursor.fetchall()}


def _empty_journal() -> None:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _close(path: Path) -> None:
    path.chmod(path.stat().st_mode & ~OTHERS)


def _locked() -> Iterator[tuple[str, str]]:
    """Yield the name and version of each package the lock file has for every system."""
    text = bootstrap.LOCK_FILE.read_text(encoding="utf-8")
    for line in bootstrap.sections(text)["run"].splitlines():
        name, found, version = line.partition("==")
        if found and ";" not in version:
            yield name.strip(), version.split()[0]


# Where one of the first finds something, the later ones would only find it again.
FIRST_LOOKS = (damage, tables)
LOOKS = (journal, guards, books, numbers, clock, copies, secrets, machine)


def found() -> list[Ailment]:
    """Look at everything and return what is wrong."""
    seen: list[Ailment] = []
    try:
        for look in FIRST_LOOKS:
            seen += look()
            if seen:
                return seen
        for look in LOOKS:
            seen += look()
    except DatabaseError as error:
        words = f"The database does not answer: {error}".strip()
        seen.append(Ailment(GRAVE, words, RESTORE))
    return seen
