"""How a line of the log looks: readable, or one JSON object for a program that collects them.

Nothing that a visitor sends can begin a line of its own or speak to the terminal: each
character that is not printed is written out. A request is named by its route, for an
address may hold a secret that opens a page.
"""

import json
import logging
import os
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from logging.handlers import QueueHandler
from queue import Full, Queue

from nursery.watching.passing import passing, route_of

# Control characters, line and paragraph separators, and those that turn the way of reading.
UNPRINTED = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069]")
CONTINUED = "\n    | "
STDERR = 2
# So many lines wait while nobody takes them; later ones are left out.
MOST_WAITING = 10_000
LAST_LINES_SECONDS = 2


def printed(text: str) -> str:
    """Return a text on one line, what is not printed written out as \\x0a."""
    return UNPRINTED.sub(lambda found: f"\\x{ord(found[0]):02x}", text)


class RouteForPath(logging.Filter):
    """Put the route where Django's own lines name the address."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Change the line where it is about a request; let every line through."""
        request = getattr(record, "request", None)
        if request is not None and isinstance(record.args, tuple):
            route, addresses = route_of(request), {request.path, request.get_full_path()}
            record.args = tuple(route if arg in addresses else arg for arg in record.args)
            # Some lines are written when the request has left the watch already.
            record.passing = getattr(request, "passing", None)
        return True


class Formatter(logging.Formatter):
    """What both forms share: the facts of a line."""

    def facts(self, record: logging.LogRecord) -> dict:
        """Return what a line tells beside its words."""
        known = passing() or getattr(record, "passing", None)
        about = {"reference": known.reference, "route": known.route} if known else {}
        return {key: value for key, value in about.items() if value} | getattr(record, "facts", {})

    def trace(self, record: logging.LogRecord) -> str:
        """Return the trace of what went wrong, or nothing."""
        return self.formatException(record.exc_info) if record.exc_info else ""


class Line(Formatter):
    """A line for a person: when, how grave, what, and the facts behind it."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line; a trace follows, set in, so that none of it passes for a line."""
        said = f"{self.formatTime(record)} {record.levelname} {record.name}: {record.getMessage()}"
        facts = [f"{key}={value}" for key, value in self.facts(record).items()]
        line = printed(" ".join([said, *facts]))
        trace = [printed(row) for row in self.trace(record).splitlines()]
        return CONTINUED.join([line, *trace])


class Json(Formatter):
    """A line for a program: one JSON object, times in UTC."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the object; JSON itself writes line breaks out."""
        said = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            **self.facts(record),
        }
        if trace := self.trace(record):
            said["trace"] = trace
        return json.dumps(said, default=str)


def settings_for(wanted: list[str]) -> dict:
    """Return the logging that NURSERY_LOG asks for: "json", "all", both by a comma, or neither."""
    form = "nursery.watching.log.Json" if "json" in wanted else "nursery.watching.log.Line"
    stderr = {"class": "logging.StreamHandler", "formatter": "line", "filters": ["route"]}
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"line": {"()": form}},
        "filters": {"route": {"()": "nursery.watching.log.RouteForPath"}},
        "handlers": {"stderr": stderr},
        "root": {"handlers": ["stderr"], "level": "WARNING"},
        "loggers": {
            "django": {"handlers": ["stderr"], "level": "WARNING", "propagate": False},
            # A mistyped address is the visitor's affair; a page that breaks is an ERROR.
            "django.request": {"level": "ERROR"},
            "django.security.DisallowedHost": {"handlers": [], "propagate": False},
            # What it says with the name that was typed, the record says with the account.
            "axes": {"level": "ERROR"},
            "nursery.doors": {"level": "INFO"},
            # Slow and failed requests are INFO, every other one DEBUG.
            "nursery.requests": {"level": "DEBUG" if "all" in wanted else "INFO"},
        },
    }


class Waiting(QueueHandler):
    """Formats a line where it is told, with the request it is about, and lets it wait its turn."""

    def enqueue(self, record: logging.LogRecord) -> None:
        """Let a line wait, or leave it out: no sale fails for want of a place for its log."""
        with suppress(Full):
            self.queue.put_nowait(f"{record.msg}\n")


@contextmanager
def written_aside() -> Iterator[None]:
    """Have a thread write the log, so that nobody waits for a paused terminal or an unread pipe.

    Who waits may hold the ledger, and then everybody would. What waits at the end is written
    too, if it is taken within LAST_LINES_SECONDS.
    """
    lines: Queue[str | None] = Queue(MOST_WAITING)
    writer = threading.Thread(target=_write, args=(lines,), daemon=True)
    writer.start()
    loggers = [logging.getLogger(), logging.getLogger("django")]
    usual = [(logger, logger.handlers[:]) for logger in loggers]
    for logger, handlers in usual:
        logger.handlers[:] = [_waiting(handler, lines) for handler in handlers]
    try:
        yield
    finally:
        for logger, handlers in usual:
            logger.handlers[:] = handlers
        with suppress(Full):
            lines.put_nowait(None)
        writer.join(LAST_LINES_SECONDS)


def _waiting(handler: logging.Handler, lines: Queue) -> Waiting:
    waiting = Waiting(lines)
    waiting.setFormatter(handler.formatter)
    waiting.filters = handler.filters
    return waiting


def _write(lines: Queue) -> None:
    # Past sys.stderr, whose lock a stuck thread would keep from the end of the process.
    while line := lines.get():
        with suppress(OSError):
            os.write(STDERR, line.encode(errors="backslashreplace"))
