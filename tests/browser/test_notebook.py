"""A grower brings an untidy spreadsheet of 300 rows in, on a phone."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.test_every_page import FIELD_TEXT, SMALL_FIELDS, SMALL_TARGETS, TARGET
from tests.untidy_notebook import as_xlsx, untidy

pytestmark = pytest.mark.sqlite


def fits(page):
    """Say what a thumb, an eye or a reader would stumble over on this page."""
    found = Axe().run(page).response["violations"]
    return {
        "small targets": page.evaluate(SMALL_TARGETS, TARGET),
        "small fields": page.evaluate(SMALL_FIELDS, FIELD_TEXT),
        "too wide": page.evaluate("document.documentElement.scrollWidth > innerWidth"),
        "axe": [(rule["id"], node["html"][:160]) for rule in found for node in rule["nodes"][:3]],
    }


def test_a_notebook_of_300_rows_comes_in_and_goes_out_again(workshop, somebody, tmp_path):
    notebook = untidy()
    path = tmp_path / "back-field.xlsx"
    path.write_bytes(as_xlsx(notebook.rows))
    before = sum(row["on_hand"] for row in workshop.report("lots"))
    grower = somebody(workshop)
    seen = {}

    grower.open("/growing/")
    grower.press("text=Bring your notebook in")
    grower.reads("Which table holds")
    grower.page.set_input_files("[name=file]", path)
    seen["file"] = fits(grower.page)
    grower.press("text=Look at it")
    grower.reads("Which column is which?")
    seen["columns"] = fits(grower.page)
    grower.press("text=See each row")
    grower.reads("Asked once for all rows")
    seen["asks"] = fits(grower.page)
    grower.page.select_option("main select[name^=container]", "#3")
    grower.press("text=Keep these answers")
    grower.reads("Comes in: 288")
    seen["rows"] = fits(grower.page)
    grower.press("main .list a >> nth=0")
    grower.reads("What does row")
    seen["one row"] = fits(grower.page)
    grower.page.go_back()
    grower.press("text=Bring in 288 rows")
    grower.reads(f"{notebook.plants:,} plants of back-field.xlsx came in")
    seen["done"] = fits(grower.page)

    assert not any(any(found.values()) for found in seen.values()), seen
    assert sum(row["on_hand"] for row in workshop.report("lots")) == before + notebook.plants
    grower.undo()
    assert sum(row["on_hand"] for row in workshop.report("lots")) == before
