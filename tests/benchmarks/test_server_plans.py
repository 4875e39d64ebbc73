"""How PostgreSQL finds what the five pages used most ask for: by its indexes."""

from functools import partial
from uuid import uuid4

import pytest
from django.db import connection, transaction

from tests.benchmarks.filling import TODAY
from tests.benchmarks.opened import opened
from tests.benchmarks.plans import plans, reads_all
from tests.benchmarks.test_screens import DAILY, named, someone

pytestmark = pytest.mark.postgresql
MOVEMENTS = 1_000_000
PAGES = ("Today", "sell", "free to sell", "a lot", "a buyer")


@pytest.mark.parametrize("page", PAGES)
def test_a_page_reads_no_growing_table_from_end_to_end(page, ledger):
    with opened(ledger(MOVEMENTS)):
        client, address = someone(), DAILY[page].format(**named())
        client.get(address)
        assert not read_whole(partial(client.get, address))


def test_the_save_of_a_sale_reads_no_growing_table_from_end_to_end(ledger):
    with opened(ledger(MOVEMENTS)):
        client, names = someone(), named()
        typed = {f"n-{names['plant']}-{names['size']}": "1", "paid_by": "cash", "on": TODAY}

        def save():
            with transaction.atomic():
                client.post("/sell/", typed | {"request_id": uuid4(), "buyer": names["buyer"]})
                transaction.set_rollback(True)

        assert not read_whole(save)


def read_whole(act) -> list[str]:
    """Return each statement with a growing table read from end to end, and its plan."""
    assert connection.vendor == "postgresql"
    return [
        "\n".join([sql, *plan]) for sql, plan in plans(act) if any(reads_all(step) for step in plan)
    ]
