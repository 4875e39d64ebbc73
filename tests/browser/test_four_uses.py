"""The four uses on the demo nursery: by thumb, by mouse, and without scripts.

What a page shows is compared with `manage.py report` on the same database.
"""

import re
from decimal import Decimal

import pytest

pytestmark = pytest.mark.sqlite

HOUSE = "Hoop house west"


def number(text: str) -> Decimal:
    """Read a number as a page writes it: $1,240.50, 40 free, 71.9%."""
    return Decimal(re.search(r"[\d,]+(\.\d+)?", text)[0].replace(",", ""))


def listed(page) -> list[dict]:
    """Return the rows of a page's list, each cell under its label."""
    return page.locator(".list tbody tr").evaluate_all(
        """rows => rows.map(row => Object.fromEntries([...row.cells].map(cell => [
             cell.dataset.label,
             (cell.querySelector(".botanical") ?? cell).textContent.trim()])))"""
    )


def test_the_one_gallon_plants_free_to_sell_are_one_press_away(grower, workshop):
    grower.press("text=#1 free to sell")

    grower.reads("Which #1 plants are free to sell?")
    assert grower.pressed == 1
    reported = workshop.report("availability", "--container", "#1")
    ready = [row for row in reported if not row["ready_on"]]
    assert number(grower.page.inner_text(".answer .amount")) == sum(
        row["available"] for row in ready
    )
    shown = {row["Plant"]: number(row["Available"]) for row in listed(grower.page)}
    assert shown == {row["plant"]: row["available"] for row in reported}
    assert shown["Thuja occidentalis 'Smaragd'"] > 0


def test_one_plant_sold_at_the_stand_takes_three_presses_and_undo_brings_it_back(grower, workshop):
    before = workshop.figures()
    grower.press("nav.places >> text=Sell")
    first = grower.page.locator("button.pick").first
    plant, size = (first.locator(part).inner_text() for part in (".botanical", ".size"))
    free = number(first.locator(".free").inner_text())
    grower.press(first)
    grower.press("button[value=cash]")

    grower.page.wait_for_url("**/invoices/**")
    assert grower.pressed == 3
    assert grower.page.inner_text("h1").startswith("Receipt")
    grower.reads(plant)
    assert free_of(workshop, plant, size) == free - 1

    grower.undo()
    assert workshop.figures() == before


def free_of(ledger, plant, size):
    return sum(
        row["available"]
        for row in ledger.report("availability", "--container", size)
        if row["plant"] == plant
    )


def test_winter_losses_of_a_house_are_typed_checked_saved_and_undone(grower, workshop):
    before = workshop.figures()
    lost_before = lost_in_all(grower)
    walked = [row for row in before["lots"] if row["place"] == HOUSE and row["on_hand"] > 8][:3]
    alive = dict(zip(walked_codes(walked), (0, walked[1]["on_hand"] // 2, 7), strict=True))

    open_sheet(grower)
    for code, left in alive.items():
        grower.page.get_by_label(f"{code}, alive now").fill(str(left))
    grower.press("button[name=check]")
    grower.page.locator("button[name=save]").wait_for()
    checked = check_step(grower.page)
    grower.press("button[name=save]")
    lost = sum(row["on_hand"] for row in walked) - sum(alive.values())
    grower.reads(f"Wrote off {lost} plants of 3 lots.")

    new = written_since(workshop.figures()["losses"], before["losses"])
    assert checked["lost"] == {row["lot"]: row["quantity"] for row in new}
    assert checked["normal"] == sum(row["normal"] for row in new)
    assert checked["abnormal"] == sum(row["abnormal"] for row in new) > 0
    expensed = sum(Decimal(row["expensed"]) for row in new)
    assert checked["expensed"] == round(expensed, 2) > 0
    assert checked["by lot"] == {row["lot"]: round(Decimal(row["expensed"]), 2) for row in new}
    assert checked["carried"] == carried_by_the_others(walked, new, alive)

    undo_the_walk(grower, lost_before + lost)
    assert workshop.figures() == before


def carried_by_the_others(lots, losses, alive) -> dict:
    """Work out what normal losses leave to the plants that live, at cost before the loss."""
    unit_cost = {row["lot"]: Decimal(row["unit_cost"]) for row in lots}
    return {
        row["lot"]: round(row["normal"] * unit_cost[row["lot"]], 2) if alive[row["lot"]] else 0
        for row in losses
    }


def walked_codes(rows):
    return [row["lot"] for row in rows]


def open_sheet(grower):
    """Open the sheet of one house from Today."""
    grower.open("/")
    grower.press("text=Write off losses")
    grower.page.select_option("[name=place]", label=HOUSE)
    grower.press("text=Show these")
    grower.page.locator("table.sheet").wait_for()
    assert grower.page.locator(".sheet .heading").all_inner_texts() == [HOUSE]


def check_step(page) -> dict:
    """Read what the sheet says it will do."""
    words = page.locator(".answers .answer").all_inner_texts()
    said = {text.split(maxsplit=1)[1]: number(text) for text in words}
    rows = {}
    for row in page.locator(".sheet.check tbody tr").all():
        code = row.locator("th .soft").inner_text().split(" · ")[0]
        rows[code] = row

    def under(label, part="") -> dict:
        cells = {
            code: row.locator(f"td[data-label='{label}'] {part}".strip())
            for code, row in rows.items()
        }
        texts = {code: cell.inner_text() for code, cell in cells.items()}
        return {code: number(text) if text else 0 for code, text in texts.items()}

    return {
        "lost": under("lost", "b"),
        "normal": said["as expected"],
        "abnormal": said["beyond what is expected"],
        "expensed": said["a loss of the year"],
        "by lot": under("a loss of the year"),
        "carried": under("carried by the others"),
    }


def written_since(rows, earlier):
    """Return the rows that came to a report."""
    left = list(rows)
    for row in earlier:
        left.remove(row)
    return left


def lost_in_all(grower):
    grower.open("/books/losses/")
    return number(grower.page.inner_text(".answer.loss .amount"))


def undo_the_walk(grower, lost):
    """See the losses among the books, in another window, then press Undo on the first page."""
    books = grower.page.context.new_page()
    books.goto("/books/losses/")
    assert number(books.inner_text(".answer.loss .amount")) == lost
    books.close()
    grower.undo()


def test_the_margin_per_plant_is_one_press_away_and_equals_the_report(grower, workshop):
    grower.press("text=Margin per plant")

    grower.reads("margin on")
    assert grower.pressed == 1
    reported = {row["key"]: row for row in workshop.report("margin", "--by", "plant")}
    shown = {row["Plant"]: row for row in listed(grower.page)}
    assert shown.keys() == reported.keys()
    for plant, row in reported.items():
        seen = shown[plant]
        assert number(seen["Sold"]) == row["sold"]
        assert number(seen["% of price"]) == round(Decimal(row["margin_percent"]), 1)
        for name, label in (("revenue", "Revenue"), ("margin", "Margin")):
            assert value_under(seen, label) == round(Decimal(row[name]), 2)
    total = number(grower.page.inner_text(".answer .amount"))
    assert total == round(sum(Decimal(row["margin"]) for row in reported.values()), 2)


def value_under(row, label):
    """Read the cell whose label begins so; the label may name the currency too."""
    return number(next(text for name, text in row.items() if name.split(",")[0] == label))
