"""Let another database stand in for the ledger's own."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import DEFAULT_DB_ALIAS, connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.utils import load_backend
from psycopg import IsolationLevel

from nursery.homes.address import SQLITE


@contextmanager
def opened_as(alias: str, database: dict, **options: object) -> Iterator[BaseDatabaseWrapper]:
    """Give a database a name in this thread for the block, with further options of its driver."""
    database = database | {"OPTIONS": database.get("OPTIONS", {}) | options}
    settings = connections.configure_settings({DEFAULT_DB_ALIAS: {}, alias: database})[alias]
    connection = load_backend(settings["ENGINE"]).DatabaseWrapper(settings, alias)
    connections[alias] = connection
    try:
        connection.ensure_connection()
        # Whole tables are asked for on purpose: no slow question, nobody's deed.
        connection.execute_wrappers.clear()
        yield connection
    finally:
        connection.close()
        del connections[alias]


def read_only_at_one_moment(database: dict) -> dict:
    """Return options with which a transaction sees one moment, holds nobody up, writes nothing."""
    if database["ENGINE"] == SQLITE:
        begins = database["OPTIONS"]["init_command"]
        return {
            "transaction_mode": "DEFERRED",
            "init_command": f"{begins} PRAGMA query_only=ON;",
        }
    return {
        "isolation_level": IsolationLevel.REPEATABLE_READ,
        "options": "-c default_transaction_read_only=on",
    }


@contextmanager
def asked_instead(alias: str) -> Iterator[None]:
    """Let everything in the block go to that database: models, SQL and transactions alike.

    The ledger speaks to one database, so this changes no query; and a query written tomorrow
    goes there too. It holds for the thread that opens the block.
    """
    own = connections[DEFAULT_DB_ALIAS]
    connections[DEFAULT_DB_ALIAS] = connections[alias]
    try:
        yield
    finally:
        connections[DEFAULT_DB_ALIAS] = own
