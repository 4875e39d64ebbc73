"""Read a ledger file into the ledger."""

from pathlib import Path

from django.core.management.base import CommandError

from nursery.fresh_rows import look_at_new_rows
from nursery.management.ledger_command import LedgerCommand
from sales.ledger_file.importing import import_ledger
from sales.ledger_file.rows import RowError


class Command(LedgerCommand):
    help = "Import a ledger file, every row or none, into the ledger DATABASE_URL names."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--check", action="store_true", help="say what is wrong, and keep nothing"
        )

    def handle(self, *args, file, check, **options):
        try:
            number = import_ledger(file, check=check, say=self._say)
        except RowError as error:
            raise CommandError(f"{file}: {error} Nothing was imported.") from error
        except OSError as error:
            raise CommandError(f"{file} cannot be read: {error.strerror}.") from error
        if check:
            text = f"{file}: {number:,} rows are right. Nothing was kept."
        elif number:
            look_at_new_rows()
            text = f"{file}: imported {number:,} rows."
        else:
            text = f"{file}: nothing to import; its rows are in the ledger already."
        self.stdout.write(text)

    def _say(self, text):
        self.stderr.write(text, self.style.NOTICE)
