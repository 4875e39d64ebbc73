"""The reports `space` and `batch`."""

import io
import json
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command

from tests.bill_scenes import FIRST, LAST, bill, house, lot_in, spaced
from tests.growing_scenes import potted_lot

pytestmark = pytest.mark.django_db

SPACE = "place first_day last_day area area_days used_area_days used_percent cost cost_per_area_day"


def printed(name: str, **options) -> list[dict]:
    out = io.StringIO()
    call_command("report", name, format="json", stdout=out, **options)
    return json.loads(out.getvalue())


def test_the_space_report_says_what_was_used_and_what_it_cost():
    spaced("#1", None)
    place = house("10.00")
    bench = house("4.00", parent=place)
    lot_in(bench, 200, "A")
    bill("31.00", place=place)

    rows = printed("space", since=FIRST, on=LAST)

    assert [row["place"] for row in rows] == [place.name, bench.name, "all"]
    assert " ".join(rows[0]) == SPACE
    assert (rows[0]["area_days"], rows[0]["used_area_days"]) == ("310.000000", "62.000000")
    assert (rows[0]["used_percent"], rows[1]["used_percent"]) == ("20.000000", "50.000000")
    assert rows[0]["cost_per_area_day"] == "0.500000"
    assert rows[1]["cost"] == "12.400000", "4 of 10 square metres"


def test_a_bill_counts_for_the_days_it_shares_with_the_span():
    place = house()
    lot_in(place, 10, "A")
    bill("31.00", place=place)

    (row, _) = printed("space", since=FIRST, on=FIRST.replace(day=10))

    assert row["cost"] == "10.000000"


def test_what_cannot_be_told_is_left_open():
    lot_in(house(None), 10, "A")

    rows = printed("space", since=FIRST, on=LAST)

    assert {(row["area"], row["area_days"], row["used_percent"]) for row in rows} == {(None,) * 3}


def test_the_batch_report_is_the_account_line_by_line():
    potted_lot()

    rows = printed("batch", batch="TXH-24A")

    found = {(row["section"], row["line"]): row for row in rows}
    assert " ".join(rows[0]) == "batch section line plants cost each"
    assert found["in", "labour"]["cost"] == "40.000000"
    assert found["stage tray", "lost_normal"]["plants"] == 20
    assert found["each", "rooted"]["each"] == "0.625000"
    out = [Decimal(row["cost"]) for row in rows if row["section"] == "all" and row["cost"]]
    assert sum(out[:-1]) == 110, "the last one is the revenue"


@pytest.mark.parametrize(("code", "words"), [("", "Say which batch"), ("X", "There is no batch X")])
def test_the_batch_report_asks_for_a_batch(code, words):
    with pytest.raises(CommandError, match=words):
        printed("batch", batch=code)
