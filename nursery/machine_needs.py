"""Provide what pip cannot: Debian packages, where this process may install them.

Standard library only. As root on a system with apt-get the packages are installed;
anyone else is told the one command to run, and the ledger goes on without them.
"""

import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from ctypes.util import find_library
from pathlib import Path

# What WeasyPrint loads to set a page, and the fonts it sets it in.
PDF_LIBRARIES = ("gobject-2.0", "pango-1.0", "pangoft2-1.0", "harfbuzz", "harfbuzz-subset")
PDF_PACKAGES = (
    "libpango-1.0-0",
    "libpangoft2-1.0-0",
    "libharfbuzz0b",
    "libharfbuzz-subset0",
    "fonts-dejavu-core",
    "fonts-liberation",
)
# The shell is the same browser without windows, and opens a page for a quarter of the work.
CHROMIUMS = (Path("/usr/bin/chromium-headless-shell"), Path("/usr/bin/chromium"))
# Playwright's own program, which drives the browser, needs libatomic.
BROWSER_PACKAGES = ("chromium-headless-shell", "libatomic1")
OTHER_SYSTEMS = {
    "darwin": "brew install pango",
    "win32": "install MSYS2 and run in its shell: pacman -S mingw-w64-x86_64-pango",
}

Say = Callable[[str], None]


def provide(sets: tuple[str, ...], stamp: dict, say: Say, write_stamp: Callable) -> None:
    """Make sure of the libraries for PDFs and, for the tests, of a browser.

    What was found once is remembered in the stamp: looking takes longer than the rest
    of a start. What is missing is looked for again every time.
    """
    found = {}
    if "pdf" not in stamp:
        found["pdf"] = pdf_libraries_are_there() or _install_for_pdf(say)
    if "test" in sets and "browser" not in stamp and sys.platform == "linux":
        found["browser"] = _browser_is_there() or _install_browser(say)
    remembered = {name: True for name, is_there in found.items() if is_there}
    if remembered:
        write_stamp(stamp | remembered)


def provide_venv(say: Say) -> None:
    """Make sure that Python can make environments: Debian packs that separately."""
    if importlib.util.find_spec("ensurepip") and importlib.util.find_spec("venv"):
        return
    package = f"python3.{sys.version_info[1]}-venv"
    if not _may_install():
        sys.exit(f"Python cannot make an environment here. Run: {_command_line(package)}")
    say(f"Installing {package}, which Debian keeps apart from Python ...")
    apt_get_install(package)
    importlib.invalidate_caches()


def chromium() -> Path | None:
    """Name the browser for the tests, the lightest that is there."""
    return next((path for path in CHROMIUMS if path.exists()), None)


def apt_get_install(*packages: str) -> None:
    """Install Debian packages without questions, lists of packages renewed first."""
    quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.STDOUT}
    environment = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    install = ["apt-get", "install", "-y", "--no-install-recommends", *packages]
    for command in (["apt-get", "update"], install):
        subprocess.run(command, check=True, env=environment, text=True, **quiet)


def pdf_libraries_are_there() -> bool:
    return all(find_library(name) for name in PDF_LIBRARIES)


def _browser_is_there() -> bool:
    return chromium() is not None and bool(find_library("atomic"))


def _install_for_pdf(say: Say) -> bool:
    missing = "The libraries that set PDFs are missing"
    if sys.platform in OTHER_SYSTEMS:
        say(f"{missing}; all else works. For PDFs: {OTHER_SYSTEMS[sys.platform]}")
        return False
    return _install("the libraries that set PDFs", missing, PDF_PACKAGES, say)


def _install_browser(say: Say) -> bool:
    missing = "Chromium is missing, so the browser tests are left out"
    return _install("Chromium for the browser tests", missing, BROWSER_PACKAGES, say)


def _install(purpose: str, missing: str, packages: tuple[str, ...], say: Say) -> bool:
    """Install packages where that is allowed, else say how; return whether they are there."""
    if not _may_install():
        say(f"{missing}; all else works. To have them: {_command_line(*packages)}")
        return False
    say(f"Installing {purpose} ...")
    try:
        apt_get_install(*packages)
    except subprocess.CalledProcessError:
        say(f"That did not work; all else works. To try again: {_command_line(*packages)}")
        return False
    return True


def _may_install() -> bool:
    """Say whether this is root on a system with apt-get."""
    return hasattr(os, "geteuid") and os.geteuid() == 0 and bool(shutil.which("apt-get"))


def _command_line(*packages: str) -> str:
    return f"sudo apt-get install {' '.join(packages)}"
