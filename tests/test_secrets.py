"""Keys are made at the first start, long, nobody else's to read, and in no file of ours."""

import os
import re
import stat
import subprocess

import pytest

from inventory.operations import calendar_links
from nursery import machine
from nursery.bootstrap import ROOT
from nursery.guarding.checks import only_the_ledger_reads_its_data
from sales.operations import labels

KEYS = re.compile(
    r"-----BEGIN [A-Z ]*PRIVATE KEY"
    r"|\b(AKIA|ghp_|github_pat_|xox[bp]-|sk_live_|AGE-SECRET-KEY-)[A-Za-z0-9_-]{12,}"
    r"|SECRET_KEY\s*[=:]\s*[\"'][^\"']{12,}"
    r"|(postgres|smtp)[a-z+]*://[a-z0-9]+:[a-z0-9]{3,}@(?!host|server)[a-z0-9.]+\.[a-z]{2,}"
)
TEXT = (".py", ".md", ".toml", ".html", ".js", ".json", ".txt", ".yml", ".yaml", ".csv", ".env", "")


def test_no_file_of_the_repository_holds_a_key():
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    paths = [ROOT / name for name in listed.stdout.split("\0") if name]
    texts = [path for path in paths if path.suffix in TEXT and path.is_file()]

    found = [path.name for path in texts if KEYS.search(path.read_text("utf-8", errors="replace"))]

    assert len(texts) > 300 and not found
    assert not [path for path in paths if path.name.startswith("secret-key")]


@pytest.mark.skipif(os.name != "posix", reason="only there a mode says who may read")
def test_the_first_start_makes_a_long_key_that_nobody_else_may_read(tmp_path, monkeypatch):
    monkeypatch.setenv("NURSERY_DATA", str(tmp_path / "ledger"))
    monkeypatch.delenv("SECRET_KEY", raising=False)

    first, again = machine.secret_key(), machine.secret_key()

    assert first == again and len(first) >= 64
    assert stat.S_IMODE((tmp_path / "ledger").stat().st_mode) == 0o700
    assert stat.S_IMODE((tmp_path / "ledger" / "secret-key").stat().st_mode) == 0o600


def test_a_key_of_before_is_believed_while_its_file_is_there(tmp_path, monkeypatch):
    monkeypatch.setenv("NURSERY_DATA", str(tmp_path))

    assert machine.keys_before() == []
    (tmp_path / "secret-key-before").write_text("the-second\nthe-first\n", encoding="utf-8")
    assert machine.keys_before() == ["the-second", "the-first"]


@pytest.mark.skipif(os.name != "posix", reason="only there a mode says who may read")
def test_a_folder_that_others_may_read_is_told(tmp_path, settings):
    settings.DATA = tmp_path
    (tmp_path / "secret-key").touch(mode=0o600)

    tmp_path.chmod(0o700)
    assert only_the_ledger_reads_its_data() == []
    tmp_path.chmod(0o750)
    (tmp_path / "secret-key").chmod(0o644)
    told = only_the_ledger_reads_its_data()
    assert [one.hint.split()[-2] for one in told] == ["700", "600"]


def test_links_are_too_long_to_be_guessed():
    """NIST SP 800-63B, 5.1.4 and 7.1: 64 bits at least; OWASP ASVS 5.0.0, 7.2.3 asks for 128."""
    # Shared papers and the links of buyers have one measure.
    assert min(calendar_links.TOKEN_BYTES, labels.TOKEN_BYTES) * 8 >= 128
