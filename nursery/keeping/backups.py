"""Dated copies of the ledger, made while it runs and proved at once.

A copy is one file: a SQLite database, or what pg_dump writes. Beside it stands a note, as JSON,
of what it holds and how it was proved. Pictures and papers people handed in lie once for all
copies in the folder `kept`: their names are their hashes, and none is ever changed.
"""

import json
import re
import shutil
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection

from nursery import exclusive
from nursery.keeping import engines, postgresql, proof
from nursery.keeping.errors import CannotKeep, MayNotMakeDatabases
from nursery.keeping.rotation import outlived
from nursery.keeping.whole_files import (
    hash_of,
    put_in_place,
    refuse_without_room,
    remove_draft,
    write_whole,
)

MOMENT = r"\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ"
STAMP = "%Y-%m-%dT%H-%M-%SZ"
# How far a copy was proved: its books replayed; opened and looked through, as one of an earlier
# version; only read to its end, where PostgreSQL let no database be made of it; it does not hold.
REPLAYED, OPENED, READ, DOUBTFUL = "replayed", "opened", "read", "doubtful"
A_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Copy:
    """A copy in the folder, and what its note says. `proof` says how far it was proved."""

    path: Path
    at: datetime
    proof: str = ""
    trouble: str = ""
    bytes: int = 0
    sha256: str = ""
    engine: str = ""
    movements: int = 0
    documents: int = 0
    newest_entry: str = ""
    nursery: str = ""
    version: str = ""

    @property
    def is_proven(self) -> bool:
        """Say whether it was opened, and agreed with itself."""
        return self.proof in (REPLAYED, OPENED)


def folder() -> Path:
    """Return where copies lie. Raises CannotKeep where copies are switched off."""
    if settings.BACKUPS is None:
        raise CannotKeep("Copies are switched off: NURSERY_BACKUPS says so.")
    return settings.BACKUPS


def copies() -> list[Copy]:
    """Return the copies of this database, the newest first."""
    if settings.BACKUPS is None or not settings.BACKUPS.is_dir():
        return []
    return _named_in(settings.BACKUPS, "")


def doubtful() -> list[Copy]:
    """Return the copies of this database that did not hold, the newest first."""
    if settings.BACKUPS is None or not settings.BACKUPS.is_dir():
        return []
    return _named_in(settings.BACKUPS, f"-{DOUBTFUL}")


def broken_off(place: Path) -> list[Path]:
    """Return the drafts that copies broken off have left; none while a copy is being made."""
    try:
        with _alone(place):
            return sorted(place.glob("*.part"))
    except CannotKeep:
        return []


def _named_in(place: Path, ending: str) -> list[Copy]:
    pattern = re.compile(rf"{re.escape(_name())}-({MOMENT}){ending}\.(sqlite3|dump)")
    found = [
        read_note(path, datetime.strptime(match[1], STAMP).replace(tzinfo=UTC))
        for path in place.iterdir()
        if (match := pattern.fullmatch(path.name))
    ]
    return sorted(found, key=lambda copy: copy.at, reverse=True)


def newest() -> Copy | None:
    """Return the newest copy of this database, or None where there is none."""
    return next(iter(copies()), None)


def read_note(path: Path, at: datetime) -> Copy:
    """Return a copy with what its note says of it, if it has one."""
    try:
        facts = json.loads(note_of(path).read_text(encoding="utf-8"))
        return Copy(path, at, **{key: facts[key] for key in facts if key in Copy.__annotations__})
    except (OSError, ValueError, TypeError):
        return Copy(path, at)


def note_of(path: Path) -> Path:
    """Return the path of the note beside a copy."""
    return path.with_name(f"{path.name}.json")


def back_up(to: Path | None = None, *, say: Callable[[str], None] = lambda words: None) -> Copy:
    """Copy the ledger while it runs, prove the copy, and let go of those outlived.

    Raises CannotKeep where no copy can be made. A copy that does not hold is kept under a name
    that says so, and returned with its trouble.
    """
    place = to or folder()
    try:
        if not engines.has_begun():
            raise CannotKeep("There is nothing to copy: no ledger was begun here yet.")
        place.mkdir(parents=True, exist_ok=True, mode=0o700)
        with _alone(place):
            copy = _copy_into(place, say)
        if to is None and not copy.trouble:
            _let_go(copy, copy.at)
        return copy
    except OSError as error:
        raise CannotKeep(f"No copy was made: {error.strerror or error}: {place}") from error
    except DatabaseError as error:
        raise CannotKeep(f"The database does not answer: {error}") from error


def _copy_into(place: Path, say) -> Copy:
    """Make one copy, with nobody else copying there, and leave no draft behind."""
    at = datetime.now(UTC).replace(microsecond=0)
    path = place / f"{_name()}-{at.strftime(STAMP)}.{engines.ending()}"
    draft = path.with_name(f"{path.name}.part")
    for left in place.glob(f"{_name()}-*.part"):
        remove_draft(left)
    refuse_without_room(place, engines.size())
    try:
        say("Copying ...")
        at_least = engines.itself().facts()["movements"]
        engines.copy_to(draft)
        draft.chmod(0o600)
        _copy_kept_files(place)
        say("Proving the copy ...")
        return _proved(draft, path, at, at_least)
    finally:
        remove_draft(draft)


def back_up_if_due(*, say: Callable[[str], None] = lambda words: None) -> Copy | None:
    """Make a copy where the newest is a day old and something was entered.

    One that does not hold counts too: the next would not either, and each takes room.
    """
    if settings.BACKUPS is None or not engines.has_begun():
        return None
    now = datetime.now(UTC)
    if any(now - copy.at < A_DAY for copy in (*copies(), *doubtful())):
        return None
    return back_up(say=say)


def _proved(draft: Path, path: Path, at: datetime, at_least: int) -> Copy:
    """Prove a draft and give it its name, with its note beside it."""
    facts, how, trouble = {}, OPENED, ""
    try:
        facts, how, trouble = _looked_through(draft, at_least)
    except CannotKeep as error:
        trouble = str(error)
    if trouble:
        path, how = path.with_name(f"{path.stem}-{DOUBTFUL}{path.suffix}"), DOUBTFUL
    size = draft.stat().st_size
    made = Copy(path, at, how, trouble, size, hash_of(draft), connection.vendor, **facts)
    note = {key: value for key, value in asdict(made).items() if key not in ("path", "at")}
    note |= {"made": at.isoformat(), "proven": made.is_proven}
    write_whole(note_of(path), json.dumps(note, indent=1).encode())
    put_in_place(draft, path)
    return made


def _looked_through(draft: Path, at_least: int) -> tuple[dict, str, str]:
    """Return what a draft holds, how far it was proved, and what is wrong with it."""
    how, trouble = OPENED, ""
    try:
        with engines.opened(draft) as copy:
            facts = copy.facts() | {"version": copy.version()}
            if facts["movements"] < at_least:
                trouble = f"The copy lacks movements: {facts['movements']:,} of {at_least:,}."
            elif engines.is_of_this_version():
                trouble, how = proof.of_another(copy.url), REPLAYED
                proof.remember(holds=not trouble)
    except MayNotMakeDatabases:
        postgresql.read_through(draft)
        here = engines.itself()
        return here.facts() | {"version": here.version()}, READ, ""
    if connection.vendor == "sqlite":
        engines.settle(draft)
    return facts, how, trouble


def _let_go(latest: Copy, now: datetime) -> None:
    """Delete the copies outlived; the latest always stays, and the last that was proven."""
    old = {copy.at: copy for copy in copies() if copy.at < latest.at}
    last_proven = max((copy.at for copy in old.values() if copy.is_proven), default=None)
    for moment in outlived([*old, latest.at], now, *settings.BACKUPS_KEPT_DAYS):
        if moment in old and (latest.is_proven or moment != last_proven):
            old[moment].path.unlink(missing_ok=True)
            note_of(old[moment].path).unlink(missing_ok=True)


def _copy_kept_files(place: Path) -> None:
    """Bring the files people handed in, those that earlier copies did not."""
    for file in sorted((settings.DATA / "kept").glob("*.*")):
        there = place / "kept" / file.name
        if there.exists():
            continue
        there.parent.mkdir(exist_ok=True)
        draft = there.with_name(f"{there.name}.part")
        shutil.copyfile(file, draft)
        draft.chmod(0o600)
        put_in_place(draft, there)


def _name() -> str:
    """Return the name of the database as copies bear it."""
    return Path(str(connection.settings_dict["NAME"])).stem


class _alone:
    """Let one process copy into a folder at a time."""

    def __init__(self, place: Path):
        self.place = place

    def __enter__(self):
        self.file = exclusive.open_to_hold(self.place / "copying")
        if not exclusive.try_to_hold(self.file):
            self.file.close()
            raise CannotKeep("A copy is being made just now.")

    def __exit__(self, *_error):
        self.file.close()
