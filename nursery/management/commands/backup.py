"""Make a copy of the ledger while it runs, and prove it."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from nursery.keeping.backups import OPENED, READ, REPLAYED, Copy, back_up
from nursery.keeping.errors import CannotKeep

HOW = {
    REPLAYED: "Proven: opened, looked through, its books replayed.",
    OPENED: "Proven: opened and looked through; of an earlier version, so not replayed.",
    READ: (
        "Not proven, only read to its end: this account of PostgreSQL may not create a database "
        "to bring it back into."
    ),
}


class Command(BaseCommand):
    help = "Copy the ledger while it runs, prove the copy and let go of old ones."

    def add_arguments(self, parser):
        parser.add_argument("--to", type=Path, help="a folder; without it where copies always go")

    def handle(self, *args, to, **options):
        try:
            copy = back_up(to and to.absolute(), say=self._say)
        except CannotKeep as error:
            raise CommandError(str(error)) from error
        if copy.trouble:
            raise CommandError(f"{copy.trouble}\nThe copy does not hold. It is kept as {copy.path}")
        self.stdout.write(_words(copy))

    def _say(self, text):
        self.stderr.write(text, self.style.NOTICE)


def _words(copy: Copy) -> str:
    return (
        f"{copy.path}\n{copy.movements:,} movements, {copy.documents:,} documents, "
        f"{copy.bytes / 1e6:,.1f} MB. {HOW[copy.proof]}"
    )
