"""Prove that what is kept beside the ledger equals a replay of it."""

from itertools import islice

from django.core.management.base import CommandError

from inventory.models import Movement
from inventory.queries.closings import closing_differences
from inventory.queries.proof import differences
from nursery.keeping import proof
from nursery.management.ledger_command import LedgerCommand
from sales.queries.open_sales import open_differences
from sales.queries.proof import account_differences, document_differences
from sales.queries.stand_day import stand_differences

PROOFS = (
    differences,
    document_differences,
    account_differences,
    open_differences,
    closing_differences,
    stand_differences,
)


class Command(LedgerCommand):
    help = "Replay the ledger from nothing and compare it with what is kept."

    def handle(self, *args, **options):
        found = [words for proof in PROOFS for words in islice(proof(), 20)]
        proof.remember(holds=not found)
        if found:
            raise CommandError("\n".join(["The ledger does not verify:", *found]))
        self.stdout.write(
            f"Verified: {Movement.objects.count():,} movements; every balance, cost and "
            "document agrees with the ledger."
        )
