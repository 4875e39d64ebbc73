"""Fifty sellers and two hundred readers on the demo nursery, as long as NURSERY_MINUTES says.

NURSERY_LOAD_DATABASE names an empty database on PostgreSQL where the ledger is to lie instead.
Two processes serve it. A sale at a stand takes most of a minute, and so does reading a list; people
come over some minutes, for a log-in is costly on purpose. Prints how long each kind of page took,
and what memory the server held at the beginning and at the end.
"""

import os
import threading
import time
from collections import defaultdict
from statistics import linear_regression, quantiles

import pytest

from tests.benchmarks.measuring import note
from tests.load.served import Busy, assert_nothing_was_lost
from tests.load.visitors import for_minutes

MINUTES = float(os.environ.get("NURSERY_MINUTES", "1"))
DATABASE = os.environ.get("NURSERY_LOAD_DATABASE", "")
SELLERS, READERS = 50, 200
PROCESSES = 2
PAUSE = (20, 60)


@pytest.fixture
def ledger(first_start, tmp_path):
    """Fill the demo and give everybody an account."""
    first_start.copy_to(tmp_path)
    busy = Busy(tmp_path, DATABASE)
    busy.fill("demo", SELLERS, READERS)
    return busy


def test_sellers_and_readers_for_a_while(ledger):
    memory = Memory()
    people = ledger.visit(
        for_minutes(MINUTES),
        seller_pause=PAUSE,
        reader_pause=PAUSE,
        processes=PROCESSES,
        arrives_within=20 * MINUTES,
        watch=memory.watch,
    )

    _note_pages(people)
    memory.note()
    note("refused in words, as sold out", sum(getattr(one, "refusals", 0) for one in people))
    assert_nothing_was_lost(ledger, people)


def _note_pages(people):
    kinds = defaultdict(list)
    for one in people:
        for sample in one.samples:
            kinds[sample.kind].append(1000 * sample.seconds)
            kinds["all pages"].append(1000 * sample.seconds)
    for kind, times in sorted(kinds.items()):
        cut = quantiles(times, n=100) if len(times) > 1 else times * 99
        note(f"{kind}: {len(times)} times", f"{cut[49]:.0f} / {cut[94]:.0f} / {cut[98]:.0f} ms")
    note("sold and told", sum(len(one.told) for one in people))


class Memory:
    """The server's memory, threads and open files, looked at twice a second."""

    def __init__(self):
        self.seen = []

    def watch(self, servers) -> None:
        """Begin to look; it ends with the servers."""
        threading.Thread(target=self._look, args=(servers,), daemon=True).start()

    def _look(self, servers):
        began = time.monotonic()
        while all(server.is_running() and server.status() != "zombie" for server in servers):
            held = sum(server.memory_info().rss for server in servers) / 1e6
            threads = sum(server.num_threads() for server in servers)
            files = sum(server.num_fds() for server in servers)
            self.seen.append((time.monotonic() - began, held, threads, files))
            time.sleep(0.5)

    def note(self) -> None:
        """Tell what was seen, and how memory went on in the second half."""
        half = self.seen[len(self.seen) // 2 :]
        slope, _ = linear_regression([at for at, *_ in half], [held for _, held, *_ in half])
        first, last = self.seen[0], self.seen[-1]
        note(
            "memory at first, half way, at last",
            f"{first[1]:.0f}, {half[0][1]:.0f}, {last[1]:.0f} MB",
        )
        note("memory in the second half, a minute", f"{60 * slope:+.2f} MB")
        note(
            "threads and open files at most",
            f"{max(s[2] for s in self.seen)}, {max(s[3] for s in self.seen)}",
        )
