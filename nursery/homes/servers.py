"""Several servers of one ledger on PostgreSQL: who prepares it, and how long a page may take."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, connections

PREPARING = 5_021_772

# Two minutes are more than any page asks for, and nobody waits longer; a writer waits for another
# as long as on SQLite. Commands have no such limits: an import may take what it takes.
OF_A_PAGE = {
    "statement_timeout": "120s",
    "lock_timeout": "20s",
    "idle_in_transaction_session_timeout": "60s",
}
# A connection keeps so many prepared; the hundred that psycopg keeps are those of three pages.
MOST_PREPARED = 400


def keep_prepared(**signal) -> None:
    """Let a connection that has just been made keep what the server prepared for it."""
    if signal["connection"].vendor == "postgresql":
        signal["connection"].connection.prepared_max = MOST_PREPARED


def limit_pages() -> None:
    """Let the database end what no reader waits for. For a process that serves, before it does.

    An address that brings options of its own keeps them.
    """
    limits = " ".join(f"-c {name}={value}" for name, value in OF_A_PAGE.items())
    for database in connections.settings.values():
        if database["ENGINE"].endswith("postgresql"):
            database["OPTIONS"].setdefault("options", limits)


@contextmanager
def prepared_by_one() -> Iterator[None]:
    """Let one server at a time bring the tables up to date; the others wait, then find it done."""
    if connection.vendor != "postgresql":
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_lock(%s)", [PREPARING])
        try:
            yield
        finally:
            cursor.execute("SELECT pg_advisory_unlock(%s)", [PREPARING])


def others_at(alias: str) -> int:
    """Count who else of this program is connected to a PostgreSQL database, from anywhere."""
    if connections[alias].vendor != "postgresql":
        return 0
    with connections[alias].cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
            "AND pid <> pg_backend_pid() "
            "AND application_name = current_setting('application_name')"
        )
        return cursor.fetchone()[0]
