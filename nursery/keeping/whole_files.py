"""Files that are there whole or not at all, also after a power cut."""

import hashlib
import os
import shutil
from pathlib import Path
from uuid import uuid4

from nursery.keeping.errors import CannotKeep

CHUNK = 1 << 20
# What must stay free beside a copy, so that the ledger itself can go on.
LEFT_FREE = 50_000_000
BESIDE_SQLITE = ("-wal", "-shm", "-journal")


def refuse_without_room(folder: Path, needed: int) -> None:
    """Raise CannotKeep where a folder's disk has no room for so many bytes and some to spare."""
    free = shutil.disk_usage(folder).free
    if free < needed + LEFT_FREE:
        raise CannotKeep(
            f"{needed / 1e6:,.0f} MB are needed in {folder} and some to spare; "
            f"{free / 1e6:,.0f} MB are free. Make room, or name a folder on another disk."
        )


def remove_draft(draft: Path) -> None:
    """Remove a draft and what SQLite laid beside it, which a later draft must never meet."""
    for ending in ("", *BESIDE_SQLITE):
        draft.with_name(f"{draft.name}{ending}").unlink(missing_ok=True)


def write_whole(path: Path, content: bytes) -> None:
    """Write a file that is there whole or not at all, through a power cut and a full disk."""
    draft = path.with_name(f"{path.name}.{uuid4().hex}.part")
    try:
        draft.write_bytes(content)
        put_in_place(draft, path)
    finally:
        draft.unlink(missing_ok=True)


def put_in_place(draft: Path, path: Path) -> None:
    """Give a finished draft its name; what had the name before is gone."""
    on_disk(draft)
    draft.replace(path)
    on_disk(path.parent)


def on_disk(path: Path) -> None:
    """Wait until a file, or a folder's list of names, is on the disk."""
    if path.is_dir() and os.name != "posix":
        return
    handle = os.open(path, os.O_RDONLY if os.name == "posix" else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def hash_of(path: Path) -> str:
    """Return the SHA-256 of a file."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while chunk := file.read(CHUNK):
            digest.update(chunk)
    return digest.hexdigest()
