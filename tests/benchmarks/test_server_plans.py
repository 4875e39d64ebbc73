"""PostgreSQL finds what daily pages and a sale ask for without reading a growing table whole."""

from functools import partial
from uuid import uuid4

import pytest
from django.db import transaction

from sales.models import Buyer
from sales.operations import sell
from tests.benchmarks.filling import TODAY
from tests.benchmarks.opened import opened
from tests.benchmarks.plans import wanted
from tests.benchmarks.rows_read import read_whole
from tests.benchmarks.test_screens import DAILY, named, someone
from tests.factories import BuyerFactory

pytestmark = pytest.mark.postgresql
MOVEMENTS = 1_000_000
# Their heads say how many rows there are.
COUNTED = ("entries", "entries, a thousand pages on", "invoices")
PAGES = [page for page in DAILY if page not in COUNTED]


@pytest.mark.parametrize("page", PAGES)
def test_a_page_reads_no_growing_table_from_end_to_end(page, ledger):
    with opened(ledger(MOVEMENTS)), transaction.atomic():
        names = named() | {"buyer": buyer_of_few().pk}
        client, address = someone(), DAILY[page].format(**names)
        client.get(address)
        assert not read_whole(partial(client.get, address))
        transaction.set_rollback(True)


def test_the_save_of_a_sale_reads_no_growing_table_from_end_to_end(ledger):
    with opened(ledger(MOVEMENTS)):
        client, names = someone(), named()
        typed = {f"n-{names['plant']}-{names['size']}": "1", "paid_by": "cash", "on": TODAY}

        def save():
            with transaction.atomic():
                client.post("/sell/", typed | {"request_id": uuid4(), "buyer": names["buyer"]})
                transaction.set_rollback(True)

        assert not read_whole(save)


def buyer_of_few() -> Buyer:
    """Return a buyer as most are: with a few of all sales.

    Each one of the filled ledger has a 25th of them, for which all lines are rightly read.
    """
    (item, _), buyer = wanted(), BuyerFactory(name="Seldom Here")
    for _ in range(3):
        sell(items=[item], on=TODAY, buyer=buyer, request_id=uuid4())
    return buyer
