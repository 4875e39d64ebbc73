"""Lists and reports read from a copy of the database that follows it, where that is new enough.

NURSERY_REPLICA_URL names the copy, a PostgreSQL server that streams from the ledger's own. Only
the views of MAY_BE_OLD are asked of it, and only to read. What they show is never older than
NURSERY_REPLICA_MAY_LAG seconds, and never older than what the same browser last wrote: both are
measured in positions of the server's log, not by clocks. A copy that is behind, or does not
answer, or breaks off a question, costs a page nothing but time: it is asked of the ledger's own.
"""

import logging
import re
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from django.conf import settings
from django.core.exceptions import MiddlewareNotUsed
from django.db import DEFAULT_DB_ALIAS, Error, connections
from django.http import HttpRequest, HttpResponse

from nursery import context
from nursery.homes.standing_in import asked_instead

logger = logging.getLogger(__name__)
Answer = TypeVar("Answer")

REPLICA = "replica"
SEEN = f"{settings.COOKIE_PREFIX}ledger_seen"
POSITION = re.compile(r"[0-9A-F]{1,8}/[0-9A-F]{1,8}")
READING = ("GET", "HEAD")
# How long a copy that did not answer is left alone, in seconds.
ASIDE = 30

# Lists and reports. Not what sells, promises or decides: the stand, what is free, holds, a form.
MAY_BE_OLD = {
    *("inventory:batch-list", "inventory:plant-list", "inventory:entry-list"),
    *("inventory:survival", "inventory:survival-chart", "inventory:survival-groups-chart"),
    *("inventory:rooting", "inventory:rooting-chart", "inventory:rooting-compare"),
    *("inventory:rooting-batches", "inventory:rooting-batches-chart"),
    *("inventory:room-ahead", "inventory:room-chart"),
    *("inventory:ready-ahead", "inventory:ready-chart"),
    *("sales:buyers", "sales:document-list", "sales:owed"),
    *("sales:offer", "sales:offer-file"),
    *("sales:books", "sales:conservation", "sales:space", "sales:valuation"),
    *("sales:margin", "sales:margin-chart", "sales:losses", "sales:losses-chart"),
    *("sales:long-in-pot", "sales:demand", "sales:demand-chart"),
    *("sales:year", "sales:year-pdf", "sales:year-chart", "sales:journal"),
    *("sales:taxed", "sales:taxed-pdf", "sales:stand-list", "sales:stand-chart"),
}


@dataclass
class Copy:
    """What this process knows of the copy.

    `marks` are moments of the ledger's own server, each with its position in the log. Whoever
    has replayed a mark shows nothing older than it.
    """

    may_lag: float
    now: Callable[[], float] = time.monotonic
    marks: deque = field(default_factory=deque)
    aside_until: float = float("-inf")
    is_well: bool = True

    def answers(self, question: Callable[[], Answer], seen: str = "") -> Answer | None:
        """Return the copy's answer; None where it is not new enough or does not come.

        `seen` is a position that the copy must have replayed besides.
        """
        if self.now() < self.aside_until:
            return None
        try:
            if not self._is_new_enough(seen):
                return None
            with asked_instead(REPLICA):
                return question()
        except Error as error:
            self._put_aside(error)
            return None

    def _is_new_enough(self, seen: str) -> bool:
        taken, mark = self._mark()
        own = seen if POSITION.fullmatch(seen) else mark
        with connections[REPLICA].cursor() as cursor:
            cursor.execute(
                "SELECT pg_is_in_recovery() AND replayed >= %s::pg_lsn, replayed >= %s::pg_lsn "
                "FROM pg_last_wal_replay_lsn() replayed",
                [mark, own],
            )
            follows, has_seen = cursor.fetchone()
        if follows:
            self._tell(True, "The replica follows again; it answers lists and reports.")
        elif self.now() - taken >= self.may_lag / 2:
            self._tell(False, "The replica is behind; lists and reports are read from the ledger.")
        return bool(follows and has_seen)

    def _mark(self) -> tuple[float, str]:
        """Return the oldest mark that is young enough, and take a new one now and then."""
        now = self.now()
        if not self.marks or now - self.marks[-1][0] >= self.may_lag / 2:
            self.marks.append((now, position("pg_current_wal_flush_lsn")))
        while now - self.marks[0][0] > self.may_lag:
            self.marks.popleft()
        return self.marks[0]

    def _put_aside(self, error: Error) -> None:
        self.aside_until = self.now() + ASIDE
        connections[REPLICA].close()
        # What was asked once in this request may have been broken off with the question.
        context.ask_anew()
        self._tell(False, "The replica does not answer; the ledger does. %s", error)

    def _tell(self, is_well: bool, words: str, *more: object) -> None:
        """Say it once, when it changes."""
        if self.is_well != is_well:
            self.is_well = is_well
            logger.warning(words, *more)


def position(moment: str = "pg_current_wal_insert_lsn") -> str:
    """Return how far the log of the ledger's own server has come, as 16/B374D848."""
    with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
        cursor.execute(f"SELECT {moment}()::text")
        return cursor.fetchone()[0]


class ReadFromReplica:
    """Ask the copy for the views of MAY_BE_OLD; note in a cookie how far a browser has written."""

    def __init__(self, get_response):
        if copy is None:
            raise MiddlewareNotUsed
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if request.method not in READING:
            self._note(response)
        return response

    def process_view(self, request, view, words, named) -> HttpResponse | None:
        """Let the copy answer; where it does not, the view is asked as ever."""
        if request.method not in READING or request.resolver_match.view_name not in MAY_BE_OLD:
            return None
        seen = request.COOKIES.get(SEEN, "")
        return copy.answers(lambda: view(request, *words, **named), seen)

    def _note(self, response: HttpResponse) -> None:
        try:
            seen = position()
        except Error:
            return
        response.set_cookie(
            SEEN,
            seen,
            max_age=600,
            httponly=True,
            samesite="Lax",
            secure=settings.SESSION_COOKIE_SECURE,
        )


def read(question: Callable[[], Answer]) -> Answer:
    """Return the answer of the copy where there is one that is new enough, else of the ledger."""
    answer = copy.answers(question) if copy else None
    return question() if answer is None else answer


copy = Copy(settings.REPLICA_MAY_LAG) if REPLICA in connections.settings else None
