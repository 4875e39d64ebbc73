"""How long a replay of the whole ledger takes, and a proof by it."""

from collections import deque

import pytest

from inventory.costing.replay import EMPTY, replay
from inventory.models import Lot
from inventory.queries.ledger_rows import ALL_ROWS, all_rows, given_back_movements
from tests.benchmarks.bare import bare
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.measuring import least, note, timed
from tests.benchmarks.opened import opened, run


@pytest.mark.parametrize("size", SIZES)
def test_full_replay_with_categories(ledger, size):
    path = ledger(size)
    fetched, full = [], []
    for _ in range(5 if size < SIZES[-1] else 3):
        fetched.append(timed(lambda: fetch_all(path)))
        with opened(path):
            full.append(timed(replay_all))

    note(f"replay of {size:,} movements", least(full))
    note("  bare fetchall of the same statement (ALL_ROWS)", least(fetched))
    note("  ratio", least(full) / least(fetched), "4 or less")


def test_verify_on_the_longest_ledger(ledger):
    took = run(ledger(SIZES[-1]), "verify")

    note(f"verify of {SIZES[-1]:,} movements", took)


def fetch_all(place):
    """Read the rows a replay reads: the same statement, so the same columns and order."""
    with bare(place) as link:
        link.ask(ALL_ROWS)


def replay_all():
    lots = dict.fromkeys(Lot.objects.values_list("pk", flat=True), EMPTY)
    deque(replay(all_rows(), lots, watched=given_back_movements()), maxlen=0)
