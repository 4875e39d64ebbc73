"""Hold a file so that no second process can hold it at the same time.

The operating system lets go when the process ends, however it ends, so a crash never
leaves a lock behind. Standard library only: bootstrap.py uses it too.
"""

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

# Windows forbids others to read the bytes it locks, so a byte far behind the text is taken.
FAR_BYTE = 1 << 20


def open_to_hold(path: Path) -> IO[str]:
    """Open a file to read and write, and make it first where it is missing."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.touch()
    return path.open("r+", encoding="utf-8")


if sys.platform == "win32":
    import msvcrt

    def try_to_hold(file: IO[str]) -> bool:
        """Take the file for this process, and say whether that went well."""
        file.seek(FAR_BYTE)
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        finally:
            file.seek(0)
        return True

else:
    import fcntl

    def try_to_hold(file: IO[str]) -> bool:
        """Take the file for this process, and say whether that went well."""
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold a file for the block, after whoever holds it now."""
    with open_to_hold(path) as file:
        while not try_to_hold(file):
            time.sleep(0.1)
        yield
