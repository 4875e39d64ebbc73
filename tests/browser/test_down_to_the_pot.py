"""From what a #1 plant cost, tap by tap, down to the purchase of its pot."""

import csv
import re
from decimal import Decimal
from pathlib import Path

import pytest

from tests.browser.test_four_uses import number

pytestmark = pytest.mark.sqlite

DEMO = Path(__file__).parents[2] / "fixtures" / "demo.csv"
LOT = "THS-25A-1"


def rows_of_the_pots() -> tuple[dict, list[dict]]:
    """Return the use of pots that the lot's potting wrote, and the pots' rows before it."""
    with DEMO.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["supply"] == "Pots #1"]
    use = next(row for row in rows if (row["event"], row["lot"]) == ("supply_use", LOT))
    before = [row for row in rows[: rows.index(use)] if row["event"] != "supply"]
    return use, before


def test_a_unit_cost_opens_down_to_the_purchase_of_its_pot(grower):
    use, before = rows_of_the_pots()
    page = grower.page
    grower.open(f"/search/?q={LOT}")
    grower.press(".answer a[href='#cost']")
    grower.press(page.locator("figure", has_text="One plant cost").locator("summary"))
    opening = page.get_by_role("link", name="Pots, trays and tags")
    assert opening.bounding_box()["height"] >= 48, "a thumb's height"
    grower.press(opening)
    grower.reads("Only what was spent for pots, trays and tags")
    grower.press(page.get_by_role("link", name=re.compile(rf"^{use['quantity']} pieces Pots #1")))

    grower.reads(f"What did {use['quantity']} pieces of Pots #1 cost?")
    assert number(page.inner_text(".answer .amount")) == round(Decimal(use["amount"]), 2)
    shown = page.locator("table.takes tbody tr").all_inner_texts()
    bought = [row for row in before if row["event"] == "purchase"][::-1]
    for text, row in zip(shown, bought, strict=False):
        assert row["note"] in text
        assert f"{Decimal(row['quantity']):,}" in text
        assert f"{Decimal(row['amount']):,}" in text
    signs = [1 if row["event"] != "supply_use" else -1 for row in before]
    there, worth = (
        sum(sign * Decimal(row[name]) for sign, row in zip(signs, before, strict=True))
        for name in ("quantity", "amount")
    )
    assert f"{there:,}" in shown[-1]
    by_hand = worth / there * Decimal(use["quantity"])
    assert abs(Decimal(use["amount"]) - by_hand) < Decimal("0.000001")
