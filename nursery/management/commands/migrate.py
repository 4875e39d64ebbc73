"""Bring the tables up to this version, all of the way or not at all."""

from contextlib import contextmanager

from django.core.management.commands.migrate import Command as Migrate
from django.db import connections, transaction

from inventory.operations.posting import LEDGER_LOCK


class Command(Migrate):
    """Migrate in one transaction, so that a ledger is never left between two versions.

    By itself Django notes some migrations as done only after their transaction, and a process
    killed in between leaves tables that no later start can go on from.
    """

    def handle(self, *args, **options):
        """Run Django's command while nobody else writes."""
        with _held(connections[options["database"]]):
            return super().handle(*args, **options)


@contextmanager
def _held(connection):
    # SQLite makes tables anew, which it can only do while keys are not looked at; each
    # migration looks at them all before it ends.
    connection.disable_constraint_checking()
    try:
        with transaction.atomic(using=connection.alias):
            if connection.vendor == "postgresql":
                with connection.cursor() as cursor:
                    cursor.execute("SELECT pg_advisory_xact_lock(%s)", [LEDGER_LOCK])
                    # A table with checks still to be made could not be altered.
                    cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            yield
    finally:
        connection.enable_constraint_checking()
