"""Make .venv from the lock file and run the command again inside it.

Standard library only: this runs before any package is there. It is silent and quick
when everything is in place, and speaks only on standard error. The packages and their
hashes are in requirements.lock; `python3 nursery/renew_lock.py` renews that file.
NURSERY_NO_BOOTSTRAP=1 leaves all of this out.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from nursery import exclusive, machine_needs

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
STAMP = ENVIRONMENT / "nursery-stamp.json"
LOCK_FILE = ROOT / "nursery" / "requirements.lock"
MARKERS = {"# ---- section: run ----": "run", "# ---- section: test ----": "test"}
PYTHON = ENVIRONMENT / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")


def enter(arguments: list[str]) -> None:
    """Return inside an environment that has what the command needs, or do not return."""
    if os.environ.get("NURSERY_NO_BOOTSTRAP"):
        return
    if sys.version_info < (3, 11):  # noqa: UP036, said before anything newer is used
        sys.exit("The nursery ledger needs Python 3.11 or newer.")
    sets = ("run", "test") if arguments[:1] == ["test"] else ("run",)
    try:
        if not _is_ready(sets):
            _prepare(sets)
        machine_needs.provide(sets, _stamp(), say, _write_stamp)
    except subprocess.CalledProcessError as error:
        sys.exit(_explanation(error))
    except KeyboardInterrupt:
        say("Stopped before everything was in place. Start again to go on.")
        sys.exit(130)
    if not _inside():
        _run_again()


def say(line: str) -> None:
    """Tell the person at the terminal what takes long, on standard error."""
    print(line, file=sys.stderr, flush=True)


def sections(text: str) -> dict[str, str]:
    """Split the lock file into its marked sections, without comments."""
    found: dict[str, list[str]] = {"run": [], "test": []}
    current = None
    for line in text.splitlines():
        current = MARKERS.get(line, current)
        if current and line and not line.startswith("#"):
            found[current].append(line)
    return {name: "\n".join(lines) + "\n" for name, lines in found.items()}


def _inside() -> bool:
    return Path(sys.prefix).resolve() == ENVIRONMENT.resolve()


def _wanted(name: str) -> str:
    """Name what one finished set was made of: its lines and the Python version."""
    text = sections(LOCK_FILE.read_text(encoding="utf-8"))[name]
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    return version + " " + hashlib.sha256(text.encode()).hexdigest()


def _stamp() -> dict:
    """Read what the environment holds; nothing where it is missing or was broken off."""
    try:
        return json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}


def _write_stamp(stamp: dict) -> None:
    """Replace the stamp in one step, so that no reader sees half of it."""
    draft = STAMP.with_suffix(f".{os.getpid()}")
    draft.write_text(json.dumps(stamp, indent=1), encoding="utf-8")
    draft.replace(STAMP)


def _is_ready(sets: tuple[str, ...]) -> bool:
    stamp = _stamp()
    return PYTHON.exists() and all(stamp.get(name) == _wanted(name) for name in sets)


def _prepare(sets: tuple[str, ...]) -> None:
    """Build or complete the environment while no other process does the same."""
    with exclusive.open_to_hold(ROOT / ".venv.lock") as file:
        if not exclusive.try_to_hold(file):
            say("Another start is preparing the environment; waiting for it to finish.")
            while not exclusive.try_to_hold(file):
                time.sleep(0.5)
        if not _can_be_completed():
            _make_environment()
        for name in sets:
            if _stamp().get(name) != _wanted(name):
                _install(name)


def _can_be_completed() -> bool:
    """Say whether .venv was finished once by this Python version, so that pip can go on.

    The stamp of a set is removed before pip starts on it, and "unfinished" is put in
    its place. A build that was broken off is therefore made again from nothing.
    """
    stamp = _stamp()
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    return PYTHON.exists() and stamp.get("python") == version and not stamp.get("unfinished")


def _make_environment() -> None:
    """Make an empty environment with pip, in place of what may be there."""
    machine_needs.provide_venv(say)
    say("Making the Python environment in .venv ...")
    if ENVIRONMENT.exists() and not _inside():
        shutil.rmtree(ENVIRONMENT)
    base = getattr(sys, "_base_executable", None) or sys.executable
    _run([base, "-m", "venv", str(ENVIRONMENT)])
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    _write_stamp({"python": version})


def _install(name: str) -> None:
    """Install one section of the lock file, hashes checked."""
    text = sections(LOCK_FILE.read_text(encoding="utf-8"))[name]
    purpose = {"run": "to run the ledger", "test": "to test it"}[name]
    say(f"Installing {_count(text)} packages {purpose} (a minute or two) ...")
    stamp = _stamp()
    stamp.pop(name, None)
    _write_stamp(stamp | {"unfinished": name})
    with tempfile.TemporaryDirectory() as folder:
        requirements = Path(folder) / "requirements.txt"
        requirements.write_text(text, encoding="utf-8")
        command = [str(PYTHON), "-m", "pip", "install", "--quiet", "--no-input", "--no-deps"]
        command += ["--disable-pip-version-check", "--require-hashes", "-r", str(requirements)]
        _run(command)
    _write_stamp(stamp | {name: _wanted(name)})


def _count(text: str) -> int:
    """Count the packages of a section: each begins a line, its hashes are indented."""
    return sum(1 for line in text.splitlines() if line and not line.startswith(" "))


def _run(command: list[str]) -> None:
    """Run a long step quietly; its words are kept for the case that it fails."""
    subprocess.run(
        command,
        check=True,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
    )


def _explanation(error: subprocess.CalledProcessError) -> str:
    """Word a failed step: what was tried, its last lines, what to do."""
    last_lines = "\n".join(f"  {line}" for line in (error.stdout or "").splitlines()[-12:])
    step = " ".join(str(part) for part in error.cmd[:5])
    return f"This step did not work: {step} ...\n{last_lines}\nStart again to try it anew."


def _run_again() -> None:
    """Hand the process over to the Python of the environment, with the same words."""
    command = [str(PYTHON), *sys.orig_argv[1:]]
    if sys.platform != "win32":
        os.execv(command[0], command)
    # Windows has no exec that keeps the console; Ctrl-C reaches the child as well.
    child = subprocess.Popen(command)
    while True:
        try:
            sys.exit(child.wait())
        except KeyboardInterrupt:
            continue
