"""How long, and in how much memory, ledger files are written and read."""

from itertools import islice

import pytest

from tests.benchmarks.measuring import note
from tests.benchmarks.opened import run

ROWS = (10_000, 100_000)


@pytest.fixture(scope="module")
def long_file(ledger, tmp_path_factory):
    """Export two ledgers, and return the path of the longer file."""
    path = tmp_path_factory.mktemp("files") / "long.csv"
    for size in ROWS:
        took = run(ledger(size), "export_ledger", str(path))
        with open(path, encoding="utf-8") as file:
            rows = sum(1 for _ in file) - 1
        note(f"export of {rows:,} rows", took)
    return path


@pytest.mark.parametrize("rows", ROWS)
def test_import(copies, long_file, tmp_path, rows):
    """A beginning of a ledger file is a ledger file, since its rows go by date."""
    target = "120 s, memory constant" if rows == ROWS[-1] else ""
    with open(long_file) as file, open(tmp_path / "rows.csv", "w") as short:
        short.writelines(islice(file, rows + 1))

    took = run(copies(0)[0], "import_ledger", str(tmp_path / "rows.csv"))

    note(f"import of {rows:,} rows", took, target)
