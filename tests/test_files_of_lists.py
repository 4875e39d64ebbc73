"""Every list that is kept as a file: no spreadsheet may take a name in it for a formula.

The starts that are harmful are those of OWASP, CSV Injection (owasp.org).
"""

import csv
from datetime import date
from decimal import Decimal, InvalidOperation
from io import BytesIO, StringIO
from itertools import chain
from uuid import uuid4

import pytest
from django.urls import NoReverseMatch, get_resolver, reverse
from openpyxl import load_workbook

from inventory import operations
from tests.entering import as_grower
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    cause,
    give_price,
    lot_holding,
    sell_from,
)

pytestmark = pytest.mark.django_db
FORMULA = "=1+1"
HARMFUL = ("=", "+", "-", "@", "\t", "\r")
# Lists of selling that are files today: one that is lost from the walk would not be missed.
SELLING = {
    *("document-list", "owed", "buyers", "prices", "availability"),
    *("margin", "losses", "valuation", "year", "journal", "taxed", "space"),
}
# These begin no cell with the name of a plant or a buyer.
NAMELESS = {"journal", "taxed", "space"}


@pytest.fixture
def grower(client):
    """A nursery whose plant, place and buyers are called by formulas, with some of each event."""
    NurseryFactory()
    lot = lot_holding(30, plant=PlantFactory(name=FORMULA), medium="60.00")
    give_price(lot, "10.00")
    buyer = BuyerFactory(name=FORMULA, phone="+1 555 0100")
    sell_from(lot, 3, buyer=buyer, on=date.today())
    operations.write_off(
        losses=[operations.Loss(lot, 1, cause("winter"), "abnormal")],
        on=date.today(),
        request_id=uuid4(),
    )
    return as_grower(client)


def lists():
    """Return the lists of the ledger by name, with the address of each."""
    found = {}
    for space, (_, resolver) in get_resolver().namespace_dict.items():
        for name in filter(lambda key: isinstance(key, str), resolver.reverse_dict):
            if not name.endswith(("pdf", "chart")):
                for pk in ([], [1]):
                    try:
                        found[name] = reverse(f"{space}:{name}", args=pk)
                    except NoReverseMatch:
                        continue
    return found


def files(client, kind, **query):
    """Yield each list with its file, of the pages that are kept as one."""
    for name, address in lists().items():
        answer = client.get(address, {"_export": kind, **query})
        if f".{kind}" in answer.get("Content-Disposition", ""):
            yield name, answer.content


def test_no_cell_of_a_csv_begins_like_a_formula(grower):
    seen, quoted = set(), set()
    for name, content in files(grower, "csv"):
        seen.add(name)
        rows = csv.reader(StringIO(content.decode("utf-8-sig")))
        for cell in chain.from_iterable(rows):
            assert not cell.startswith(HARMFUL) or is_number(cell), (name, cell)
            if cell == f"'{FORMULA}":
                quoted.add(name)

    assert seen >= SELLING
    assert quoted >= SELLING - NAMELESS


def test_no_cell_of_an_xlsx_is_a_formula(grower):
    seen = set()
    for name, content in files(grower, "xlsx"):
        seen.add(name)
        for row in load_workbook(BytesIO(content)).active.iter_rows():
            assert [cell.value for cell in row if cell.data_type == "f"] == [], name

    assert seen >= SELLING


@pytest.mark.parametrize("by", ["plant", "buyer"])
def test_a_name_like_a_formula_is_quoted_in_the_margin(grower, by):
    address = reverse("sales:margin")
    text = grower.get(address, {"by": by, "_export": "csv"}).content.decode("utf-8-sig")

    assert f"\n'{FORMULA}," in text


def is_number(cell):
    try:
        return Decimal(cell).is_finite()
    except InvalidOperation:
        return False
