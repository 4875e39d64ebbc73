"""What is installed: each package by its hash, none from a named host, each free software."""

import re
import runpy
from importlib.metadata import distributions, metadata

from nursery.bootstrap import LOCK_FILE, ROOT, sections

# Licences that the FSF or the OSI lists as free, by their usual words.
FREE = re.compile(
    r"\b(MIT|BSD|Apache|ISC|PSF|Python Software Foundation|MPL|Mozilla|LGPL|Lesser General|"
    r"ZPL|Zope|HPND|Unlicense|0BSD|CC0|Zlib|Bitstream|FTL|matplotlib|PIL)\b",
    re.IGNORECASE,
)


def packages_of(section):
    """Return name, version and hashes of each package of a section."""
    text = sections(LOCK_FILE.read_text(encoding="utf-8"))[section].replace("\\\n", " ")
    for line in text.splitlines():
        name, version = re.match(r"([\w.-]+)==([^\s;]+)", line.strip()).groups()
        yield name, version, re.findall(r"--hash=sha256:[0-9a-f]{64}\b", line)


def test_every_package_is_pinned_by_hashes_and_comes_from_no_named_host():
    found = [one for section in ("run", "test") for one in packages_of(section)]
    text = LOCK_FILE.read_text(encoding="utf-8")

    assert len(found) > 60 and all(hashes for _, _, hashes in found)
    assert not re.search(r"https?://|--(extra-)?index|--find-links|--trusted", text)


def licence_of(name):
    told = metadata(name)
    words = [told.get("License-Expression") or "", (told.get("License") or "")[:200]]
    words += [one for one in told.get_all("Classifier") or () if one.startswith("License")]
    return " | ".join(words)


def test_every_package_that_runs_is_free_software():
    # Those marked for another system or another Python are not installed here.
    here = {re.sub(r"[-_.]+", "-", one.name).lower() for one in distributions()}
    licences = {name: licence_of(name) for name, _, _ in packages_of("run") if name in here}

    assert len(licences) > 40
    assert not {name: words for name, words in licences.items() if not FREE.search(words)}


def test_the_audit_names_each_known_fault_and_what_nobody_was_asked_about():
    fault = {"id": "GHSA-0000", "aliases": ["CVE-2026-1"], "fix_versions": ["1.1"]}
    report = {
        "dependencies": [
            {"name": "loam", "version": "1.0", "vulns": [fault, fault | {"fix_versions": []}]},
            {"name": "peat", "version": "2.0", "vulns": []},
            {"name": "bark", "version": "3.0", "vulns": [], "skip_reason": "not found"},
        ]
    }
    judged = runpy.run_path(str(ROOT / ".ci" / "audit"))["judged"]

    known, asked = judged(report)

    assert asked == 2
    assert known == [
        "loam 1.0: GHSA-0000, mended in 1.1",
        "loam 1.0: GHSA-0000, mended in no release yet",
    ]
