"""Read every figure of a ledger, so that two ledgers can be compared to the letter."""

import json
from contextlib import contextmanager
from uuid import uuid4

from django.db import transaction

from inventory.models import Batch, Carried, Lot, LotBalance, Operation, UncarriedCost
from inventory.models.kept import COST_FIELDS
from inventory.operations import reverse
from inventory.operations.rebuild import rebuild
from inventory.queries.proof import differences
from nursery.printing import printed
from sales.models import Document
from sales.queries.margin import KEYS
from sales.queries.proof import account_differences, document_differences
from sales.reports import REPORTS

DATED = ("lots", "availability", "costs", "losses", "valuation", "conservation", "buyers")
GROUPED = (*KEYS, "batch")
FACTS = ("movements", "costs", "placements", "counts")


@contextmanager
def rolled_back():
    """Keep nothing of what is written inside: one example of many in one test."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def report(name: str, **options) -> list[dict]:
    """Return a report as a reader of its JSON receives it."""
    return json.loads(printed(REPORTS[name](**options), "json"))


def all_reports(on=None, *, nth=1) -> dict[str, list[dict]]:
    """Return every report there is, each by its name and options; traces know no date.

    Of many traces, which cost the most, each nth may be enough.
    """
    found = {name: report(name, on=on) for name in DATED}
    found |= {f"margin by {by}": report("margin", by=by, on=on) for by in GROUPED}
    if on is None:
        found |= {
            f"trace lot {lot}": report("trace", lot=lot.code) for lot in Lot.objects.all()[::nth]
        }
        found |= {
            f"trace batch {batch}": report("trace", batch=batch.code)
            for batch in Batch.objects.all()[::nth]
        }
        found |= {
            f"trace {document}": report("trace", document=document.number)
            for document in Document.objects.standing().filter(kind="sale")[::nth]
        }
    return found


def kept() -> dict[str, list[tuple]]:
    """Return every row that is kept beside the ledger."""
    return {
        "balances": list(
            LotBalance.objects.order_by("pk").values_list(
                "lot__code", "on_hand", "place__name", "last_on", *COST_FIELDS
            )
        ),
        "carried": list(
            Carried.objects.order_by("pk").values_list("movement_id", "on_hand_after", *COST_FIELDS)
        ),
        "uncarried": list(UncarriedCost.objects.order_by("pk").values_list("pk", flat=True)),
    }


def written() -> dict[str, int]:
    """Return how many rows of each kind of fact there are."""
    return {
        "operations": Operation.objects.count(),
        **{fact: Operation.objects.filter(**{f"{fact}__isnull": False}).count() for fact in FACTS},
        "documents": Document.objects.count(),
    }


def undo(operation: Operation) -> Operation:
    """Undo an operation."""
    return reverse(operation=operation, request_id=uuid4())


def assert_the_books_are_right() -> None:
    """Claim that what is kept equals a replay, and that nothing is lost from sight."""
    assert list(differences()) == []
    assert list(document_differences()) == []
    assert list(account_differences()) == []
    before = kept()
    rebuild()
    assert kept() == before, "what is kept is what a rebuild makes"
    assert_conserved()


def assert_conserved(on=None) -> None:
    """Claim that every plant and every cost is somewhere, category by category."""
    from inventory.queries.conservation import conservation

    found = conservation(on)
    assert found.plants_difference == 0
    assert found.total.difference == 0
    assert [flow for flow in found.categories if flow.difference] == []
