"""A ledger with many visitors: fill it, serve it, let them in, and see that nothing was lost."""

import json
import os
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import psutil

from nursery.bootstrap import ROOT
from tests.load.inside import PASSWORD
from tests.load.visitors import Reader, Seller, Visitor, together
from tests.served import begin, free_port, read_until_open, surroundings_of


@dataclass
class Busy:
    """A ledger in a folder of its own; `database` is the address of one that stands elsewhere."""

    folder: Path
    database: str = ""

    def fill(self, what: str, sellers: int, readers: int) -> None:
        """Fill it with `demo` or `stand`, and give so many sellers and readers an account."""
        self._inside("fill", what, str(sellers), str(readers))
        self.sellers, self.readers = sellers, readers

    @contextmanager
    def open(self, processes: int = 1):
        """Serve it by so many processes, what is left of them at the end ends.

        A SQLite ledger has one server for all of them, one on PostgreSQL a server for each.
        """
        running = []
        servers, each = (processes, 1) if self.database else (1, processes)
        try:
            for _ in range(servers):
                port = free_port()
                words = ["up", "--port", port, "--processes", str(each)]
                told = self.folder / f"{port}.log"
                with told.open("w") as log:
                    running.append(begin(*words, folder=self.folder, log=log, **self._named()))
                running[-1].told = told
                read_until_open(running[-1])
                running[-1].address = f"http://127.0.0.1:{port}"
            yield running
            for process in running:
                process.send_signal(signal.SIGTERM)
            for process in running:
                process.communicate(timeout=60)
                said = process.told.read_text()
                assert "Traceback" not in said, said
        finally:
            for process in running:
                process.kill()

    def visit(
        self,
        ended: Callable[[Visitor], bool],
        *,
        seller_pause: tuple[float, float],
        reader_pause: tuple[float, float],
        processes: int = 1,
        arrives_within: float = 1,
        watch: Callable[[list[psutil.Process]], None] = lambda servers: None,
    ) -> list[Visitor]:
        """Let all of them come at once until it has ended, and return them with what they met."""
        with self.open(processes) as running:
            addresses = [process.address for process in running]
            kinds = [("seller", self.sellers, Seller, seller_pause)]
            kinds += [("viewer", self.readers, Reader, reader_pause)]
            people = [
                kind(
                    addresses[one % len(addresses)],
                    f"{role}-{one}",
                    PASSWORD,
                    pause,
                    one,
                    arrives_within,
                )
                for role, number, kind, pause in kinds
                for one in range(number)
            ]
            firsts = [psutil.Process(process.pid) for process in running]
            watch([one for first in firsts for one in (first, *first.children())])
            together(people, ended)
        return people

    def standing(self) -> dict[str, int]:
        """Return the plants of each sale in the ledger, by the address of its document."""
        return json.loads(self._inside("look"))

    def verify(self) -> str:
        """Return what `manage.py verify` says; a ledger that does not agree fails."""
        process = begin("verify", folder=self.folder, **self._named())
        said, faults = process.communicate(timeout=600)
        assert process.returncode == 0, faults
        return said

    def _named(self):
        return {"DATABASE_URL": self.database} if self.database else {}

    def _inside(self, *words):
        environment = {"DJANGO_SETTINGS_MODULE": "nursery.settings", "PYTHONPATH": str(ROOT)}
        return subprocess.run(
            [sys.executable, "-m", "tests.load.inside", *words],
            env=os.environ | surroundings_of(self.folder) | self._named() | environment,
            cwd=ROOT,
            check=True,
            capture_output=True,
            text=True,
        ).stdout


def assert_nothing_was_lost(ledger: Busy, people: list[Visitor]) -> None:
    """Check that nobody met an error, and that the ledger has what every seller was told."""
    assert not [trouble for one in people for trouble in one.troubles]
    told = Counter()
    for seller in people:
        for sale in seller.told:
            told[sale.address.removeprefix(seller.address)] += sale.plants
    standing = ledger.standing()
    both = {address: (plants, standing.get(address)) for address, plants in told.items()}
    assert {address: pair for address, pair in both.items() if pair[0] != pair[1]} == {}
    ledger.verify()
