"""Bring a copy of the ledger back."""

import sys
from contextlib import contextmanager
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.db import Error, connection

from nursery import running
from nursery.homes import servers
from nursery.keeping import proof, restoring
from nursery.keeping.errors import CannotKeep


def _words(there: restoring.Found | None) -> str:
    place = connection.settings_dict["NAME"]
    return f"{there or 'nothing that can be read as a ledger'} ({place})"


@contextmanager
def _nobody_else():
    """Hold the ledger's place, so that no server starts; refuse where one runs."""
    running_at = running.addresses()
    note = running.take_note(restoring.UNDER_WAY)
    if running_at or note is None or _others():
        where = " and ".join(running_at) or running.noted_address(restoring.UNDER_WAY)
        raise CommandError(f"The ledger is running at {where}. Stop it first (Ctrl-C).")
    with note:
        yield


def _others() -> int:
    """Count who else is connected; where the database does not answer, that shows later."""
    try:
        return servers.others_at("default")
    except Error:
        return 0
    finally:
        connection.close()


class Command(BaseCommand):
    """Ask before anything is replaced; what is replaced stays under a dated name."""

    help = "Put a copy in the ledger's place; the ledger as it is now is kept beside it."
    requires_system_checks = []
    requires_migrations_checks = False

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)
        parser.add_argument("--yes", action="store_true", help="do not ask")

    def handle(self, *args, file, yes, **options):
        with _nobody_else():
            try:
                found = restoring.look_at(file.absolute())
                self.stdout.write(f"The copy: {found}")
                self.stdout.write(f"It takes the place of: {_words(restoring.replaced())}")
                if not yes:
                    self._ask(found)
                old = restoring.restore(file.absolute(), say=self._say)
            except CannotKeep as error:
                raise CommandError(str(error)) from error
            proof.remember(holds=True)
            self.stdout.write(f"The ledger now: {_words(restoring.replaced())}")
        self.stdout.write("The copy is in the ledger's place, and its books are proved.")
        if old:
            self.stdout.write(f"The ledger as it was before: {old}")

    def _ask(self, found):
        word = found.nursery or "restore"
        self.stdout.write(
            "What was entered since the copy is then only in the old ledger, which is kept."
        )
        self.stdout.write(f"Write {word} to go on: ", ending="")
        self.stdout.flush()
        if sys.stdin.readline().strip() != word:
            raise CommandError("Nothing was changed.")

    def _say(self, text):
        self.stderr.write(text, self.style.NOTICE)
