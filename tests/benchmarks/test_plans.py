"""How SQLite finds what the daily statements ask for: never by reading a whole table."""

from datetime import timedelta

from sales.models import Document
from sales.queries.availability import availability
from sales.queries.free_lots import with_lots
from sales.queries.stand import stand_plants
from sales.queries.trace import trace_document
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.filling import TODAY
from tests.benchmarks.opened import opened
from tests.benchmarks.plans import scanned, sell_one, wanted


def test_a_sale_reads_no_table_from_end_to_end(ledger):
    with opened(ledger(SIZES[0])):
        item, buyer = wanted()
        assert not scanned(lambda: sell_one(item, buyer, TODAY))


def test_a_backdated_sale_reads_no_table_from_end_to_end(ledger):
    with opened(ledger(SIZES[0])):
        item, buyer = wanted()
        assert not scanned(lambda: sell_one(item, buyer, TODAY - timedelta(days=200)))


def test_the_availability_list_reads_no_table_from_end_to_end(ledger):
    with opened(ledger(SIZES[0])):
        assert not scanned(lambda: with_lots(availability(container="#1")))


def test_a_trace_reads_no_table_from_end_to_end(ledger):
    with opened(ledger(SIZES[0])):
        document = Document.objects.filter(kind="sale").last()
        assert not scanned(lambda: trace_document(document))


def test_the_stand_reads_of_old_sales_only_those_of_a_year(ledger):
    with opened(ledger(SIZES[0])):
        (step,) = scanned(lambda: stand_plants(on=TODAY))

    assert "sales_document_date" in step
