"""What the settings ask of the machine: folders, the secret key, the time zone."""

import os
import secrets
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def data_folder() -> Path:
    """Return the folder for databases and keys; NURSERY_DATA moves it elsewhere."""
    folder = Path(os.environ.get("NURSERY_DATA") or ROOT / ".data").absolute()
    # Nobody else at this machine reads it; who made it beforehand has said who may.
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return folder


def choose_database(arguments: list[str]) -> None:
    """Point `up --demo` at the demo's own database, before the settings are read."""
    if arguments[:1] == ["up"] and "--demo" in arguments:
        os.environ["DATABASE_URL"] = f"sqlite:///{demo_database().as_posix()}"


def demo_database() -> Path:
    """Return the path of the demo's database."""
    return data_folder() / "demo.sqlite3"


def secret_key() -> str:
    """Return the key that signs sessions, and make it at the first start."""
    if key := os.environ.get("SECRET_KEY"):
        return key
    path = data_folder() / "secret-key"
    if not path.exists():
        _write_private(path, secrets.token_urlsafe(64))
    return path.read_text(encoding="utf-8").strip()


def keys_before() -> list[str]:
    """Return the keys of before, a line each, by which what they signed is still believed."""
    path = data_folder() / "secret-key-before"
    return path.read_text(encoding="utf-8").split() if path.exists() else []


def _write_private(path: Path, text: str) -> None:
    """Write a file that only its owner may read; a second writer leaves the first one's text."""
    draft = path.with_name(f"{path.name}.{os.getpid()}")
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
        file.write(text + "\n")
        file.flush()
        os.fsync(file.fileno())
    if path.exists():
        draft.unlink()
    else:
        draft.replace(path)


def time_zone() -> str:
    """Return the zone that "today" is meant in: TIME_ZONE, else the machine's, else UTC."""
    if named := os.environ.get("TIME_ZONE"):
        return named
    # On Linux and macOS the link's target ends in the zone's name.
    target = os.path.realpath("/etc/localtime")
    _, found, name = target.partition("zoneinfo/")
    return name if found and "/" in name else "UTC"
