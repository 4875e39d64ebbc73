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
from django.db import connection

from nursery import exclusive
from nursery.keeping import engines, proof
from nursery.keeping.errors import CannotKeep
from nursery.keeping.rotation import outlived
from nursery.keeping.whole_files import hash_of, put_in_place, write_whole

MOMENT = r"\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ"
STAMP = "%Y-%m-%dT%H-%M-%SZ"
REPLAYED, OPENED, DOUBTFUL = "replayed", "opened", "doubtful"
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
    pattern = re.compile(
        rf"{re.escape(_name())}-(\d{{4}}-\d\d-\d\dT\d\d-\d\d-\d\dZ)\.(sqlite3|dump)"
    )
    found = [
        read_note(path, datetime.strptime(match[1], STAMP).replace(tzinfo=UTC))
        for path in settings.BACKUPS.iterdir()
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
    at = datetime.now(UTC).replace(microsecond=0)
    try:
        place.mkdir(parents=True, exist_ok=True, mode=0o700)
        with _alone(place):
            path = place / f"{_name()}-{at.strftime(STAMP)}.{engines.ending()}"
            draft = path.with_name(f"{path.name}.part")
            try:
                say("Copying ...")
                at_least = engines.movements()
                engines.copy_to(draft)
                _copy_kept_files(place)
                say("Proving the copy ...")
                copy = _proved(draft, path, at, at_least)
            finally:
                draft.unlink(missing_ok=True)
            if to is None and copy.is_proven:
                _let_go(copy, at)
            return copy
    except OSError as error:
        raise CannotKeep(f"No copy was made: {error.strerror or error}: {place}") from error


def back_up_if_due(*, say: Callable[[str], None] = lambda words: None) -> Copy | None:
    """Make a copy where the newest proven one is a day old and something was entered."""
    if settings.BACKUPS is None or not engines.movements():
        return None
    latest = next((copy for copy in copies() if copy.is_proven), None)
    if latest and datetime.now(UTC) - latest.at < A_DAY:
        return None
    return back_up(say=say)


def _proved(draft: Path, path: Path, at: datetime, at_least: int) -> Copy:
    """Prove a draft and give it its name, with its note beside it."""
    facts, how, trouble = {}, OPENED, ""
    try:
        with engines.opened(draft) as copy:
            facts = copy.facts()
            if facts["movements"] < at_least:
                trouble = f"The copy lacks movements: {facts['movements']:,} of {at_least:,}."
            elif engines.is_of_this_version():
                trouble, how = proof.of_another(copy.url), REPLAYED
    except CannotKeep as error:
        trouble = str(error)
    if trouble:
        path, how = path.with_name(f"{path.stem}-{DOUBTFUL}{path.suffix}"), DOUBTFUL
    size = draft.stat().st_size
    made = Copy(path, at, how, trouble, size, hash_of(draft), connection.vendor, **facts)
    note = {key: value for key, value in asdict(made).items() if key not in ("path", "at")}
    write_whole(note_of(path), json.dumps(note, indent=1).encode())
    put_in_place(draft, path)
    return made


def _let_go(newest_proven: Copy, now: datetime) -> None:
    """Delete the copies outlived; the one just proven always stays."""
    old = {copy.at: copy for copy in copies() if copy.at < newest_proven.at}
    for moment in outlived([*old, newest_proven.at], now):
        if moment in old:
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
