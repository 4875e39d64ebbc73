"""Write requirements.lock anew from the ranges in pyproject.toml.

Run it by itself: `python3 nursery/renew_lock.py`. It builds a scratch environment with
`uv`, lets it choose versions for every platform at once, and writes the file in
two marked sections. Standard library only, like bootstrap.py, which reads the file.
"""

import subprocess
import sys
import tempfile
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LOCK = ROOT / "nursery" / "requirements.lock"

HEAD = """\
# The exact packages, with hashes, for every platform. Written by a program: to renew
# it, change the ranges in pyproject.toml and run `python3 nursery/renew_lock.py`.
# nursery/bootstrap.py reads the two sections by their marker lines.
"""
RUN_MARKER = "# ---- section: run ----"
TEST_MARKER = "# ---- section: test ----"


def main():
    """Compile both sets together, so that they agree, and split off the test part."""
    with tempfile.TemporaryDirectory() as scratch:
        uv = _install_uv(Path(scratch))
        everything = Path(scratch) / "everything.txt"
        _compile(uv, everything, "--group", f"{ROOT / 'pyproject.toml'}:test")
        run = Path(scratch) / "run.txt"
        _compile(uv, run, "--constraint", str(everything))
        run_entries = entries_in(run.read_text(encoding="utf-8"))
        all_entries = entries_in(everything.read_text(encoding="utf-8"))
    test_entries = [entry for entry in all_entries if entry not in run_entries]
    text = "\n".join([HEAD + RUN_MARKER, *run_entries, TEST_MARKER, *test_entries, ""])
    LOCK.write_text(text, encoding="utf-8", newline="\n")
    print(f"{len(run_entries)} packages to run, {len(test_entries)} more to test.", file=sys.stderr)


def entries_in(text: str) -> list[str]:
    """Split a requirements text into one string per package, hashes included."""
    entries: list[str] = []
    for line in text.splitlines():
        if line.startswith(("#", "-")) or not line.strip():
            continue
        if line.startswith(" "):
            entries[-1] += "\n" + line
        else:
            entries.append(line)
    return entries


def _install_uv(scratch: Path) -> Path:
    """Make a scratch environment that holds uv, and return the program's path."""
    venv.create(scratch / "env", with_pip=True)
    scripts = scratch / "env" / ("Scripts" if sys.platform == "win32" else "bin")
    subprocess.run([scripts / "python", "-m", "pip", "install", "--quiet", "uv"], check=True)
    return scripts / "uv"


def _compile(uv: Path, output: Path, *more: str) -> None:
    """Choose versions with hashes, for all platforms, and no host named."""
    command = [uv, "pip", "compile", ROOT / "pyproject.toml", "--universal", "--generate-hashes"]
    command += ["--python-version", "3.11", "--fork-strategy", "fewest"]
    command += ["--no-header", "--no-annotate", "--quiet", "--upgrade", "-o", output, *more]
    subprocess.run(command, check=True, cwd=ROOT)


if __name__ == "__main__":
    main()
