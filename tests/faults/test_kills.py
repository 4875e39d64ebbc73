"""A writer is killed at any moment: what it acknowledged is there once, nothing is there half."""

import pytest

from tests.faults.killing import MOMENTS, Tally, Trial
from tests.faults.scene import small_nursery
from tests.faults.server import Server
from tests.faults.tallies import seeded, total

pytestmark = pytest.mark.django_db(transaction=True)
FEW = 8


def test_a_killed_writer_leaves_all_of_a_deed_or_nothing(seeds):
    small_nursery()
    tally = total("kills", Tally)

    for seed in seeds:
        with seeded(seed):
            Trial(seed, tally).run()

    assert tally.kills.total() >= len(seeds)
    assert set(tally.kills) <= set(MOMENTS)


@pytest.mark.campaign
@pytest.mark.postgresql
@pytest.mark.parametrize("whole", [False, True], ids=["one process", "all of it"])
def test_a_killed_server_recovers_all_that_was_acknowledged(whole, seeds):
    """Kill what serves the writer; the server must be this campaign's own."""
    small_nursery()
    server = Server(whole=whole)
    tally = total("kills of all of PostgreSQL" if whole else "kills of its process", Tally)

    for seed in seeds:
        with seeded(seed):
            Trial(seed, tally, server=server).run()
