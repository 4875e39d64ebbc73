"""What a power cut leaves of an SQLite ledger: its file, and a beginning of its write-ahead log.

The log's form is that of SQLite's "WAL-mode file format" (sqlite.org/walformat.html): a header
of 32 bytes, then frames of 24 bytes and a page; a frame counts where its two salts are those of
the header and all up to a frame that ends a transaction do.
"""

import shutil
import struct
from contextlib import contextmanager
from pathlib import Path

from django.db import connection

HEADER, FRAME_HEADER = 32, 24


def log_of(database: Path) -> Path:
    """Return where SQLite keeps the write-ahead log of a database."""
    return database.with_name(f"{database.name}-wal")


def copied(database: Path, into: Path, name: str) -> Path:
    """Copy a database and its log as they are at this moment; its writer must stand still."""
    copy = into / name
    for old in into.glob(f"{name}*"):
        old.unlink()
    shutil.copyfile(database, copy)
    if log_of(database).exists():
        shutil.copyfile(log_of(database), log_of(copy))
    return copy


def page_size(log: bytes) -> int:
    return struct.unpack_from(">I", log, 8)[0]


def frames(log: bytes) -> list[tuple[int, int]]:
    """Return (where it ends, its page) for each frame of the log's present round."""
    return [(end, page) for end, page, _ in _frames(log)]


def committed(log: bytes) -> list[tuple[int, int]]:
    """Return those of the frames that belong to a transaction that has ended."""
    found = list(_frames(log))
    last = max((end for end, _, ends_one in found if ends_one), default=0)
    return [(end, page) for end, page, _ in found if end <= last]


def _frames(log):
    if len(log) < HEADER:
        return
    step, salts = FRAME_HEADER + page_size(log), log[16:24]
    for begin in range(HEADER, len(log) - step + 1, step):
        if log[begin + 8 : begin + 16] != salts:
            return
        page, pages_after = struct.unpack_from(">II", log, begin)
        yield begin + step, page, bool(pages_after)


def tear_page(database: Path, page: int, page_size: int) -> None:
    """Write rubbish over the second half of a page, as a write broken off would leave it."""
    with database.open("r+b") as file:
        file.seek((page - 1) * page_size + page_size // 2)
        file.write(b"\xa5" * (page_size // 2))


@contextmanager
def opened(database: Path):
    """Let the ledger be that copy for a while."""
    usual = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = str(database)
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = usual


def is_sound() -> bool:
    """Say whether SQLite itself finds the database whole."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA integrity_check")
        return cursor.fetchall() == [("ok",)]
