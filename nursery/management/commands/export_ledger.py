"""Write the ledger as a ledger file."""

import os
import sys
from pathlib import Path

from django.core.management.base import CommandError

from nursery.management.ledger_command import LedgerCommand
from sales.ledger_file.exporting import export_ledger


class Command(LedgerCommand):
    help = "Export the ledger DATABASE_URL names as a ledger file, or to standard output."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, nargs="?")

    def handle(self, *args, file, **options):
        if file is None:
            export_ledger(sys.stdout)
            return
        partial = file.with_name(file.name + ".part")
        try:
            with open(partial, "w", encoding="utf-8", newline="") as out:
                number = export_ledger(out)
            os.replace(partial, file)
        except OSError as error:
            raise CommandError(f"{file} cannot be written: {error.strerror}.") from error
        self.stdout.write(f"{file}: exported {number:,} rows.")
