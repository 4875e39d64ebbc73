"""Bring a copy of the ledger back."""

import sys
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from nursery import running
from nursery.homes import servers
from nursery.keeping import proof, restoring
from nursery.keeping.errors import CannotKeep


class Command(BaseCommand):
    """Ask before anything is replaced; what is replaced stays under a dated name."""

    help = "Put a copy in the ledger's place; the ledger as it is now is kept beside it."
    requires_system_checks = []
    requires_migrations_checks = False

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)
        parser.add_argument("--yes", action="store_true", help="do not ask")

    def handle(self, *args, file, yes, **options):
        note = running.take_note("the restore of a copy")
        if note is None or servers.others_at("default"):
            raise CommandError(
                f"The ledger is running at {running.noted_address()}. Stop it first (Ctrl-C)."
            )
        with note:
            try:
                found = restoring.look_at(file.absolute())
                self.stdout.write(f"The copy: {found}")
                if not yes:
                    self._ask(found)
                old = restoring.restore(file.absolute(), say=self._say)
            except CannotKeep as error:
                raise CommandError(str(error)) from error
            proof.remember(holds=True)
        self.stdout.write("The copy is in the ledger's place, and its books are proved.")
        if old:
            self.stdout.write(f"The ledger as it was before: {old}")

    def _ask(self, found):
        word = found.nursery or "restore"
        self.stdout.write(
            "It takes the ledger's place. What was entered since is then only in the old ledger, "
            "which is kept."
        )
        self.stdout.write(f"Write {word} to go on: ", ending="")
        self.stdout.flush()
        if sys.stdin.readline().strip() != word:
            raise CommandError("Nothing was changed.")

    def _say(self, text):
        self.stderr.write(text, self.style.NOTICE)
