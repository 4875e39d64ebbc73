"""Ledgers to measure on, and the table of what was measured.

Run with `python3 manage.py test tests/benchmarks`. NURSERY_BENCHMARKS names a folder that
keeps the ledgers for the next run; making the longest takes some minutes. With a DATABASE_URL
of PostgreSQL those of BOTH run on that server, on ledgers moved there from the folder's files.
"""

import gc
import os
import shutil
from collections.abc import Callable
from contextlib import ExitStack
from functools import cache
from pathlib import Path

import pytest
from django.db import connection

from tests.benchmarks import measuring, on_server, opened

SIZES = (10_000, 100_000, 1_000_000)
# What runs on either engine.
BOTH = {
    f"test_{name}.py"
    for name in ("bills", "ledger_file", "lists", "replay", "sale", "screens", "server_plans")
}


def pytest_collection_modifyitems(items):
    """Mark what reads a SQLite file by its path."""
    for item in items:
        if "benchmarks" in item.path.parts and item.path.name not in BOTH:
            item.add_marker(pytest.mark.sqlite)


def pytest_terminal_summary(terminalreporter):
    """Print the table."""
    if not measuring.TABLE:
        return
    terminalreporter.section("measured")
    width = max(len(what) for what, *_ in measuring.TABLE)
    terminalreporter.write_line(f"{'what':{width}}  {'target':16}  measured")
    for what, target, measured in measuring.TABLE:
        terminalreporter.write_line(f"{what:{width}}  {target:16}  {measured}")


@pytest.fixture(scope="session")
def folder(tmp_path_factory) -> Path:
    """Name the folder of the ledgers."""
    kept = os.environ.get("NURSERY_BENCHMARKS")
    path = Path(kept).absolute() if kept else tmp_path_factory.mktemp("ledgers")
    path.mkdir(parents=True, exist_ok=True)
    return path


@pytest.fixture(scope="session")
def ledger(folder, django_db_blocker):
    """Return a function from a number of movements to the file or database of such a ledger."""

    @cache
    def place_of(movements: int) -> Path | str:
        if connection.vendor == "postgresql":
            place = on_server.made(movements, folder)
        else:
            place = opened.made(folder / f"{movements}.sqlite3", movements)
        opened.renewed(place)
        return place

    # What pytest keeps is not looked through again and again while sales are measured.
    gc.freeze()
    with django_db_blocker.unblock():
        yield place_of


@pytest.fixture
def copies(ledger, tmp_path) -> Callable[..., dict[int, Path | str]]:
    """Return a function from sizes to {size: a ledger that may be written into}."""

    def make(*sizes: int) -> dict[int, Path | str]:
        ledgers = {size: ledger(size) for size in sizes}
        if connection.vendor == "postgresql":
            return opened_ones.enter_context(on_server.copied(ledgers))
        return {size: shutil.copy(path, tmp_path / path.name) for size, path in ledgers.items()}

    with ExitStack() as opened_ones:
        yield make
