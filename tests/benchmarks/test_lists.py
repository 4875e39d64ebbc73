"""How long the availability list and a trace take as history grows.

The lots that hold plants are 80 in each ledger, 16 lines of the list: it is the history
behind them that grows. What more standing lots cost is printed beside.
"""

from django.db import transaction

from inventory.models import LotBalance
from sales.models import Document
from sales.queries.availability import availability
from sales.queries.free_lots import with_lots
from sales.queries.trace import trace_document
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.measuring import median, note, timed
from tests.benchmarks.opened import opened

ROUNDS, EACH = 6, 25


def test_the_availability_list(ledger):
    compare(ledger, "availability list", lambda _: availability())


def test_the_one_gallon_list_with_its_lots(ledger):
    compare(ledger, "the #1 list with its lots", lambda _: with_lots(availability(container="#1")))


def test_the_list_with_every_lot_standing(ledger):
    with opened(ledger(SIZES[-1])), transaction.atomic():
        LotBalance.objects.update(on_hand=5)
        many = median(timed(availability) for _ in range(EACH))
        lines = len(availability())
        transaction.set_rollback(True)

    note(f"availability list, all lots of {SIZES[-1]:,} standing, {lines} lines", many)


def test_trace_of_one_sale(ledger):
    compare(ledger, "trace of one sale", trace_document)


def compare(ledger, what, act):
    """Measure an act on the last sales of each ledger, in turns, and note its growth."""
    times = {size: [] for size in SIZES}
    for _ in range(ROUNDS):
        for size in SIZES:
            with opened(ledger(size)):
                documents = list(Document.objects.filter(kind="sale").order_by("-pk")[:EACH])
                act(documents[0])
                times[size] += [timed(lambda d=document: act(d)) for document in documents]
    for size in SIZES:
        note(f"{what}, {size:,} movements", median(times[size]))
    growth = median(times[SIZES[-1]]) / median(times[SIZES[0]])
    note("  growth from the first to the last", growth, "1.5 or less")
