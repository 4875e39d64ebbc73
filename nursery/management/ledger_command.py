"""The base of commands that read or write the ledger."""

from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor


class LedgerCommand(BaseCommand):
    """A command that needs a database with the ledger's tables as they are today."""

    def execute(self, *args, **options):
        executor = MigrationExecutor(connection)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            raise CommandError(
                "This database has no ledger yet, or one of an earlier version. Run first: "
                "python3 manage.py migrate"
            )
        return super().execute(*args, **options)
