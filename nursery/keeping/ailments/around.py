"""Whether this machine keeps the ledger well: room, copies, who else may read it, what it lacks."""

import os
import shutil
import stat
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime
from functools import partial
from importlib import metadata
from pathlib import Path
from urllib.parse import urlsplit

from django.conf import settings
from django.db import Error, connection

from nursery import bootstrap, machine, machine_needs, running
from nursery.keeping import backups, engines
from nursery.keeping.ailments.ailment import GRAVE, MEND, SMALL, Ailment
from nursery.keeping.whole_files import remove_draft
from nursery.watching import health

OTHERS = stat.S_IRWXG | stat.S_IRWXO
BACK_UP = "python3 manage.py backup"
MOUNTS = Path("/proc/mounts")
# Kinds of file systems that lie on another machine, as Linux names them.
NETWORK = {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "fuse.sshfs", "fuse.rclone"}
FONTS = (
    *(Path("/usr/share/fonts"), Path("/usr/local/share/fonts"), Path.home() / ".local/share/fonts"),
    *(Path("/Library/Fonts"), Path("/System/Library/Fonts"), Path("C:/Windows/Fonts")),
)


def room() -> Iterator[Ailment]:
    """See there is room left where the ledger and its copies lie."""
    for folder in _folders():
        free = shutil.disk_usage(folder).free
        if free < health.LITTLE_ROOM:
            gravity = GRAVE if free < health.NO_ROOM else SMALL
            words = f"Only {free // 10**6:,} MB are free on the disk of {folder}."
            yield Ailment(gravity, words, "Make room on it, or move the folder to another disk.")


def network_drive() -> Iterator[Ailment]:
    """See a SQLite ledger lies on a disk of this machine, as far as Linux tells."""
    if connection.vendor != "sqlite" or not MOUNTS.exists():
        return
    kind = kind_of_disk(Path(connection.settings_dict["NAME"]), MOUNTS.read_text())
    if kind in NETWORK:
        words = f"The ledger lies on another machine ({kind}), where SQLite can lose entries."
        yield Ailment(GRAVE, words, "Move it to a disk of this machine; NURSERY_DATA says where.")


def kind_of_disk(path: Path, mounts: str) -> str:
    """Return the kind of file system that holds a path, by the lines of /proc/mounts."""
    kinds = {Path(line.split()[1]): line.split()[2] for line in mounts.splitlines()}
    return next((kinds[folder] for folder in path.resolve().parents if folder in kinds), "")


def copies() -> Iterator[Ailment]:
    """See the ledger has a copy that is new and proven."""
    if settings.BACKUPS is None:
        yield Ailment(SMALL, "No copies are made.", "Take NURSERY_BACKUPS=off away.")
        return
    for copy in backups.doubtful():
        words = f"A copy did not hold: {copy.path.name}. {copy.trouble}"
        yield Ailment(SMALL, words, "Mend the ledger, copy it anew, then delete this one.")
    made = backups.copies()
    if not made:
        if _has_begun():
            yield Ailment(GRAVE, "The ledger has no copy that holds.", BACK_UP)
        return
    age = datetime.now(UTC) - made[0].at
    if age > health.COPY_GROWS_OLD:
        yield Ailment(GRAVE, f"The newest copy is {age.days} days old.", BACK_UP)
    if not made[0].is_proven:
        yield Ailment(SMALL, f"The newest copy is not proven: {made[0].path.name}.", BACK_UP)


def same_disk() -> Iterator[Ailment]:
    """See the copies do not lie on the ledger's own disk."""
    place = settings.BACKUPS
    if place is None or not place.is_dir():
        return
    if place.stat().st_dev in {folder.stat().st_dev for folder in _folders() - {place}}:
        words = "The copies lie on the ledger's own disk: one broken disk takes both."
        yield Ailment(SMALL, words, "Let NURSERY_BACKUPS name a folder on another disk.")


def halves() -> Iterator[Ailment]:
    """See no copy that was broken off lies around."""
    if settings.BACKUPS is not None and settings.BACKUPS.is_dir():
        for path in backups.broken_off(settings.BACKUPS):
            words = f"A copy was broken off: {path.name}."
            yield Ailment(SMALL, words, MEND, partial(remove_draft, path))


def secrets() -> Iterator[Ailment]:
    """See nobody else on this machine can read the ledger, its copies or its key."""
    if os.name != "posix":
        return
    for path in {*_folders(), settings.DATA / "secret-key"}:
        if path.exists() and path.stat().st_mode & OTHERS:
            words = f"Others on this machine can read {path}."
            yield Ailment(SMALL, words, f"chmod go-rwx {path}", partial(_close, path))


def strangers() -> Iterator[Ailment]:
    """See nobody on the network can read along, and no fault shows the ledger's inside."""
    if settings.DEBUG:
        yield Ailment(GRAVE, "DEBUG is on: faults show the ledger's inside.", "Switch it off.")
    if settings.BEHIND_TLS:
        return
    for address in running.addresses():
        if not running.is_loopback(urlsplit(address).hostname or "localhost"):
            words = f"The ledger is open to the network at {address}, and others can read along."
            way_out = "Put a proxy that speaks https before it, and set NURSERY_BEHIND_TLS=1."
            yield Ailment(SMALL, words, way_out)


def libraries() -> Iterator[Ailment]:
    """See papers can be set as PDF, in letters that fit."""
    way_out = f"On Debian: apt-get install {' '.join(machine_needs.PDF_PACKAGES)}"
    if not machine_needs.pdf_libraries_are_there():
        yield Ailment(SMALL, "Papers cannot be set as PDF: libraries are missing.", way_out)
    if not any(path.is_dir() and any(path.rglob("*.[to]t[fc]")) for path in FONTS):
        yield Ailment(SMALL, "No font was found: PDFs would have boxes for letters.", way_out)


def packages() -> Iterator[Ailment]:
    """See the packages are those the ledger was tried with."""
    text = bootstrap.LOCK_FILE.read_text(encoding="utf-8")
    for line in bootstrap.sections(text)["run"].splitlines():
        name, found, version = line.partition("==")
        if not found or ";" in version:
            continue
        wanted, there = version.split()[0], _version_of(name.strip())
        if there != wanted:
            words = f"{name} is {there}, and the ledger was tried with {wanted}."
            yield Ailment(SMALL, words, "Delete the folder .venv; the next start makes it anew.")


def _version_of(name: str) -> str:
    with suppress(metadata.PackageNotFoundError):
        return metadata.version(name)
    return "missing"


def _folders() -> set[Path]:
    """Return the folders that hold the ledger, its files and its copies, those that are there."""
    folders = {settings.DATA, settings.BACKUPS}
    if connection.vendor == "sqlite":
        folders.add(Path(connection.settings_dict["NAME"]).parent)
    return {folder for folder in folders if folder is not None and folder.is_dir()}


def _has_begun() -> bool:
    """Say whether there is a ledger to copy; one that cannot be asked surely was begun."""
    if connection.settings_dict["NAME"] == str(machine.demo_database()):
        return False
    try:
        return engines.has_begun()
    except Error:
        return True


def _close(path: Path) -> None:
    path.chmod(path.stat().st_mode & ~OTHERS)
