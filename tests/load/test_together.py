"""Several sellers of the same few plants, and people reading meanwhile, on the real server."""

import pytest

from tests.load.served import Busy, assert_nothing_was_lost

pytestmark = pytest.mark.sqlite


def test_sellers_and_readers_at_once_lose_nothing(first_start, tmp_path):
    first_start.copy_to(tmp_path)
    ledger = Busy(tmp_path)
    ledger.fill("stand", sellers=5, readers=3)

    people = ledger.visit(
        lambda visitor: visitor.acts == 5, seller_pause=(0, 0.05), reader_pause=(0.1, 0.3)
    )

    assert_nothing_was_lost(ledger, people)
    assert sum(sale.plants for one in people for sale in one.told) > 20
