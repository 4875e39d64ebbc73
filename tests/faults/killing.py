"""Kill a writer at a moment chosen by chance, and hold the ledger to what it acknowledged."""

import contextlib
import time
from collections import Counter
from dataclasses import dataclass, field
from random import Random

from django.db import connection

from inventory.errors import LedgerError
from tests.faults.deeds import Deed, next_deed
from tests.faults.process import Commits, DieAt, Writer, pause
from tests.faults.proofs import differences, shape
from tests.faults.server import Server, backend

# When the process dies: at any moment of a deed, at one of its statements, in its commit.
MOMENTS = ("any moment", "a statement", "the commit")
MOMENTS_OF_A_SERVER = ("any moment", "the commit")
# Nothing was measured yet.
USUAL_SECONDS, USUAL_STATEMENTS, COMMIT_SECONDS = 0.05, 40, 0.002


@dataclass
class Tally:
    """What a campaign of kills came to, and how long each kind of deed takes."""

    kills: Counter = field(default_factory=Counter)
    under_way: Counter = field(default_factory=Counter)
    kinds: Counter = field(default_factory=Counter)
    acknowledged: int = 0
    refused: int = 0
    seconds: dict = field(default_factory=dict)
    statements: dict = field(default_factory=dict)

    def __str__(self):
        return (
            f"{self.kills.total()} kills {dict(self.kills)}; the deed under way was "
            f"{dict(self.under_way)}; {self.acknowledged} acknowledged, {self.refused} refused; "
            f"killed in {dict(self.kinds)}"
        )


@dataclass
class Stream:
    """Deeds in a child: told before, acknowledged after. The `nth` is done to be killed."""

    seed: int
    nth: int
    moment: str
    share: float
    usual_statements: dict

    def __call__(self, pipe) -> None:
        chance = Random(self.seed)
        commits = Commits(lambda: pipe.send(("commit",)))
        pipe.send(("ready", backend()))
        for number in range(self.nth + 1):
            deed = next_deed(chance, self.seed % 50 * 3 + number)
            counted = Counted()
            pipe.send(("begin", deed))
            began, before = time.monotonic(), commits.number
            with connection.execute_wrapper(self._death(deed, number) or counted):
                said = _done(deed)
            took = time.monotonic() - began
            pipe.send((*said, commits.number - before, took, counted.number, shape()))

    def _death(self, deed, number):
        if number == self.nth and self.moment == "a statement":
            usual = self.usual_statements.get(deed.kind) or USUAL_STATEMENTS
            return DieAt(int(self.share * usual))
        return None


class Counted:
    """An execute wrapper that counts statements."""

    number = 0

    def __call__(self, execute, sql, params, many, context):
        self.number += 1
        return execute(sql, params, many, context)


def _done(deed):
    try:
        return "done", deed.do()
    except LedgerError as error:
        return "refused", str(error)


class Trial:
    """One writer, killed once."""

    def __init__(self, seed: int, tally: Tally, *, server: Server | None = None):
        chance = Random(seed)
        self.tally, self.server = tally, server
        self.moment = chance.choice(MOMENTS if server is None else MOMENTS_OF_A_SERVER)
        self.nth, self.share = chance.randrange(3), chance.random()
        self.stream = Stream(seed, self.nth, self.moment, self.share, tally.statements)
        self.deeds: list[Deed] = []
        self.done: dict[Deed, tuple] = {}
        self.shape = shape()
        self.backend = None

    def run(self) -> None:
        """Let the writer write, kill it, and claim what must hold."""
        writer = Writer(self.stream)
        try:
            self._hear_until_the_kill(writer)
        finally:
            writer.kill()
            for said in writer.bury():
                self._note(said)
        if self.server:
            self.server.come_back()
        self.tally.kills[self.moment] += 1
        self._claim()

    def _hear_until_the_kill(self, writer):
        while said := writer.hear():
            self._note(said)
            if len(self.deeds) <= self.nth:
                continue
            if self.moment == "any moment" and said[0] == "begin":
                usual = self.tally.seconds.get(self.deeds[-1].kind, USUAL_SECONDS)
                pause(self.share * usual * 1.2)
            elif self.moment == "the commit" and said[0] == "commit":
                pause(self.share * COMMIT_SECONDS)
            elif said[0] == "begin" or self.moment == "a statement":
                continue
            self._kill(writer)
            return

    def _kill(self, writer):
        if self.server:
            self.server.kill(self.backend)
        else:
            writer.kill()

    def _note(self, said):
        word, *facts = said
        if word == "ready":
            (self.backend,) = facts
        elif word == "begin":
            self.deeds += facts
        elif word in ("done", "refused"):
            result, commits, took, statements, self.shape = facts
            deed = self.deeds[-1]
            self.done[deed.request_id] = (word, result)
            self.tally.seconds[deed.kind] = took
            self.tally.statements[deed.kind] = statements
            assert commits == (word == "done"), f"{deed} is {commits} transactions, not one"
        elif word == "broken" and not self.server:
            raise AssertionError(facts[0])

    def _claim(self):
        assert differences() == [], f"after the kill: {self.deeds[-1:]}"
        now = shape()
        under_way = [deed for deed in self.deeds if deed.request_id not in self.done]
        if not under_way:
            assert now == self.shape
            self.tally.under_way["acknowledged just before"] += 1
        for deed in under_way:
            self._claim_all_or_nothing(deed, now)
        after = shape()
        for deed in self.deeds:
            word, result = self.done.get(deed.request_id, ("", None))
            if word == "done":
                assert deed.do() == result, f"{deed} was acknowledged with another result"
                self.tally.acknowledged += 1
            self.tally.refused += word == "refused"
        assert shape() == after, "what was acknowledged was written once more"
        assert differences() == []

    def _claim_all_or_nothing(self, deed, now):
        """Claim that nothing of it is there, or else all: then the same press adds nothing."""
        self.tally.kinds[deed.kind] += 1
        with contextlib.suppress(LedgerError):
            deed.do()
        after = shape()
        if now == self.shape:
            self.tally.under_way["not there, done by the same press"] += 1
        else:
            self.tally.under_way["there, though not acknowledged"] += 1
            assert after == now, f"half of {deed} was there: {now} became {after}"
