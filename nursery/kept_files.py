"""Files people hand in, kept in the data folder under the hash of what is in them.

The same content again is the same file, and no file is changed or taken away, so what names
one, such as an invoice its logo, finds it as it was.
"""

import hashlib
import re
from pathlib import Path

from django.conf import settings

from nursery.keeping.whole_files import write_whole

NAME = re.compile(r"[0-9a-f]{64}\.[a-z]{2,5}")


def keep_file(content: bytes, kind: str) -> str:
    """Keep content and return the name it is kept under; `kind` is "png", "pdf", …"""
    name = f"{hashlib.sha256(content).hexdigest()}.{kind}"
    path = kept_file(name)
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        # The row that names it is written after it, so it must lie on the disk before.
        write_whole(path, content)
    return name


def kept_file(name: str) -> Path:
    """Return the path of a kept file, or raise ValueError for what is no such name."""
    if not NAME.fullmatch(name):
        raise ValueError(f"{name} is not the name of a kept file.")
    return settings.DATA / "kept" / name
