"""How long a replay of the whole ledger takes, and a proof by it."""

import sqlite3
from collections import deque
from contextlib import closing

import pytest

from inventory.costing.replay import EMPTY, replay
from inventory.models import Lot
from inventory.queries.ledger_rows import ALL_ROWS, all_rows, given_back_movements
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.measuring import least, note, timed
from tests.benchmarks.opened import opened, run


@pytest.mark.parametrize("size", SIZES)
def test_full_replay_with_categories(ledger, size):
    path = ledger(size)
    bare, full = [], []
    for _ in range(5 if size < SIZES[-1] else 3):
        bare.append(timed(lambda: fetch_all(path)))
        with opened(path):
            full.append(timed(replay_all))

    note(f"replay of {size:,} movements", least(full))
    note("  bare fetchall of the same statement (ALL_ROWS)", least(bare))
    note("  ratio", least(full) / least(bare), "4 or less")


def test_verify_on_the_longest_ledger(ledger):
    took = run(ledger(SIZES[-1]), "verify")

    note(f"verify of {SIZES[-1]:,} movements", took)


def fetch_all(path):
    """Read the rows a replay reads: the same statement, so the same columns and order."""
    with closing(sqlite3.connect(path)) as bare:
        bare.execute("PRAGMA cache_size=-65536")
        bare.execute("PRAGMA temp_store=MEMORY")
        bare.execute(ALL_ROWS).fetchall()


def replay_all():
    lots = dict.fromkeys(Lot.objects.values_list("pk", flat=True), EMPTY)
    deque(replay(all_rows(), lots, watched=given_back_movements()), maxlen=0)
