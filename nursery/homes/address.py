"""From the address of a database to the settings of its connection. Used by the settings."""

from pathlib import Path

import environ

SQLITE, POSTGRESQL = "django.db.backends.sqlite3", "django.db.backends.postgresql"

WAIT_SECONDS = 20
# A ledger on SQLite has one writer at a time: IMMEDIATE makes the second one wait at the
# start of its transaction, where waiting is safe. FULL keeps each entry through a power cut.
SQLITE_OPTIONS = {
    "timeout": WAIT_SECONDS,
    "transaction_mode": "IMMEDIATE",
    "init_command": (
        "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;"
        "PRAGMA cache_size=-65536; PRAGMA temp_store=MEMORY;"
        # With it, REPLACE fires the triggers that keep a ledger row from being deleted.
        "PRAGMA recursive_triggers=ON;"
    ),
}
# What a server's list of connections shows, and how long a lost server is waited for, in seconds.
# A page asks some forty questions, the same ones each time. What was asked twice is not
# planned anew, which was two thirds of the server's work. Behind a pooler that cannot keep
# prepared statements, end the address with ?server_side_binding=false.
POSTGRESQL_OPTIONS = {
    "application_name": "nursery-ledger",
    "connect_timeout": 5,
    "server_side_binding": True,
    "prepare_threshold": 2,
}


def database_at(url: str, **more: object) -> dict:
    """Return the settings of the database at that address, with further options of its driver.

    What stands behind the question mark of a PostgreSQL address, as sslmode=verify-full, goes
    before ours.
    """
    found = environ.Env.db_url_config(url)
    found["CONN_MAX_AGE"] = 600
    if found["ENGINE"] == SQLITE:
        found["OPTIONS"] = SQLITE_OPTIONS | more
        if found["NAME"] != ":memory:":
            found["NAME"] = str(Path(found["NAME"]).absolute())
    else:
        found["OPTIONS"] = POSTGRESQL_OPTIONS | more | found.get("OPTIONS", {})
        # A server that was started anew in the meantime is noticed before a page asks it.
        found["CONN_HEALTH_CHECKS"] = True
    return found
