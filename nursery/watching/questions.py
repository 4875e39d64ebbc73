"""Listen to what is asked of the database: how often, for how long, and whether it was written to.

One wrapper on each connection. It keeps no statement and no value; a slow statement is logged
as it was prepared, with its marks where the values go.
"""

import logging
import time

from django.conf import settings
from django.db.backends.signals import connection_created

from nursery.watching.passing import passing

log = logging.getLogger("nursery.slow")
WRITING = ("INSERT", "UPDATE", "DELETE")
# What a log-in, a message or a wrong password or code leaves behind is nobody's deed.
ASIDE = ('"nursery_login"', '"axes_', '"otp_totp_')
LONGEST = 2_000


def listen(**signal) -> None:
    """Put the wrapper on a connection that has just been made, once."""
    wrappers = signal["connection"].execute_wrappers
    if watched not in wrappers:
        wrappers.append(watched)


def watched(execute, sql, params, many, context):
    """Run a statement and note what it took."""
    begun = time.perf_counter()
    try:
        answer = execute(sql, params, many, context)
    finally:
        _note(sql, time.perf_counter() - begun)
    found = passing()
    if found and not found.has_written and sql.startswith(WRITING) and not _is_aside(sql):
        # Runs only if the statement is committed; a savepoint taken back forgets it.
        context["connection"].on_commit(found.write)
    return answer


def _note(sql: str, took: float) -> None:
    if found := passing():
        found.questions += 1
        found.asked_seconds += took
    if took >= settings.SLOW_QUERY_SECONDS:
        _tell(sql, took)


def _is_aside(sql: str) -> bool:
    return any(table in sql[:60] for table in ASIDE)


def _tell(sql: str, took: float) -> None:
    statement = " ".join(sql.split())[:LONGEST]
    log.warning("a slow question", extra={"facts": {"ms": round(took * 1000), "sql": statement}})


def connect() -> None:
    """Listen to every connection from now on."""
    connection_created.connect(listen, dispatch_uid="nursery.watching.questions")
