"""Tell what is wrong with the ledger, and the way out."""

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from inventory.errors import LedgerError
from nursery.keeping.ailments import GRAVE, Ailment, found
from nursery.keeping.errors import CannotKeep
from nursery.watching.commands import record_command
from nursery.watching.health import OK, look


class Command(BaseCommand):
    """Look at everything; mend only what is safe, and only when asked."""

    help = "Look for whatever can be wrong with the ledger, and say the way out of each."
    requires_system_checks = []
    requires_migrations_checks = False

    def add_arguments(self, parser):
        parser.add_argument("--mend", action="store_true", help="mend what is safe to mend")

    def handle(self, *args, mend, **options):
        ailments = found()
        if mend:
            self._mend(ailments)
            ailments = found()
        for ailment in ailments:
            self._tell(ailment)
        if grave := sum(one.gravity == GRAVE for one in ailments):
            raise CommandError(f"{grave} grave {'fault' if grave == 1 else 'faults'}.")
        self._say_how_it_is()
        words = f"Nothing grave; {len(ailments)} to look at." if ailments else "All is well."
        self.stdout.write(words)

    def _say_how_it_is(self):
        for finding in look().findings:
            self.stdout.write(f"{'' if finding.state == OK else '! '}{finding.words}")

    def _tell(self, ailment: Ailment):
        self.stdout.write(f"{'!! ' if ailment.gravity == GRAVE else '! '}{ailment.words}")
        self.stdout.write(f"   {ailment.way_out}")

    def _mend(self, ailments):
        for cure in {one.mend: one for one in ailments if one.mend}.values():
            try:
                cure.mend()
            except (LedgerError, DatabaseError, CannotKeep, OSError) as error:
                self.stdout.write(f"Not mended: {cure.words} {error}")
            else:
                self.stdout.write(f"Mended: {cure.words}")
                record_command(f"mended: {cure.words}")
