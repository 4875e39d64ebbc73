"""The ledger file: out and in again without a difference; once only; all or nothing."""

import csv
import io
from contextlib import contextmanager
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction
from hypothesis import given, settings

from inventory import operations
from inventory.models import ExpectedLoss, Lot, LotBalance, Operation
from sales import operations as sales_operations
from sales.ledger_file.exporting import export_ledger
from sales.ledger_file.importing import import_ledger
from sales.models import Document, Payment, TaxRate
from sales.queries.owed import owed
from tests.factories import (
    DAY,
    BuyerFactory,
    PlaceFactory,
    cause,
    give_price,
    lot_holding,
    sell_from,
)
from tests.filled import fill_with_the_demo
from tests.fuzz import MORE
from tests.ledger_figures import (
    all_reports,
    assert_the_books_are_right,
    kept,
    report,
    rolled_back,
    undo,
    written,
)
from tests.random_ledgers import Player, scripts

pytestmark = pytest.mark.django_db

SMALL = """\
date,event,lot,to_lot,batch,plant,container,quantity,category,amount,price,document
2025-04-10,opening,L1,,B1,Ilex crenata 'Sky Pencil',#1,20,plants,40.00,,
2025-04-12,sale,L1,,,,,5,,,9.50,
2025-04-12,cost,L1,,,,,,labour,3.00,,
"""


def exported() -> str:
    out = io.StringIO()
    export_ledger(out)
    return out.getvalue()


def read(text: str | bytes, **options) -> int:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "ledger.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return import_ledger(path, **options)


class Scene(Exception):
    """Raised to leave a scene without keeping it."""


@contextmanager
def left_behind():
    """Write inside, then have an empty ledger again."""
    try:
        with transaction.atomic():
            yield
            raise Scene
    except Scene:
        pass


def figures(*days, nth=1) -> list:
    return [all_reports(nth=nth), *(all_reports(day) for day in days)]


def assert_survives_the_way_out_and_in(write, *days) -> None:
    """Claim that an empty ledger becomes the equal of the one that `write` makes."""
    with left_behind():
        write()
        file, before = exported(), figures(*days)
    assert not Operation.objects.exists()

    with left_behind():
        assert read(file) == len(list(csv.reader(io.StringIO(file)))) - 1
        assert_the_books_are_right()
        after, again = figures(*days), exported()

    assert after == before
    assert again == file


def test_the_demo_survives_the_way_out_and_in():
    with left_behind():
        fill_with_the_demo()
        middle = date(2025, 3, 15)
        file, before = exported(), figures(middle, nth=5)

    read(file)

    # Age classes are told by the season that the nursery's settings name.
    assert figures(middle, nth=5) == before
    assert exported() == file
    assert_the_books_are_right()


@settings(max_examples=8 * MORE, deadline=None)
@given(scripts(longest=20))
def test_random_ledgers_survive_the_way_out_and_in(script):
    with rolled_back():
        middle = script[len(script) // 2].on
        assert_survives_the_way_out_and_in(lambda: Player().play(script), middle)


def all_kinds() -> None:
    """A ledger with what scripts leave out: undone entries, backdating, sheets, tax, money."""
    TaxRate.objects.create(percent=Decimal("6.25"), valid_from=DAY, name="State tax")
    ExpectedLoss.objects.create(stage="growing", percent=Decimal("10"))
    first = lot_holding(50, "L1", medium="33.33", labour="12.00")
    second = lot_holding(30, "L2", plant=first.plant, on=DAY + timedelta(1))
    operations.move(lot=first, place=PlaceFactory(name="North bed"), on=DAY, request_id=uuid4())
    sheet = [operations.Loss(lot, 9, cause("winter")) for lot in (first, second)]
    operations.write_off(losses=sheet, on=DAY + timedelta(20), request_id=uuid4())
    operations.count(lot=second, found=25, on=DAY + timedelta(22), request_id=uuid4())
    sale = sell_from(
        first, 4, "11.00", on=DAY + timedelta(30), buyer=BuyerFactory(), note="for the hedge"
    )
    gone = sell_from(first, 3, on=DAY + timedelta(31), paid_by="cash")
    sales_operations.undo_sale(document=gone, request_id=uuid4())
    later = DAY + timedelta(40)
    facts = {"document": sale, "on": later, "request_id": uuid4()}
    sales_operations.pay(amount=Decimal("20.00"), method="cheque", **facts)
    back = {"document": sale, "plants": [(first, 1)], "on": later, "request_id": uuid4()}
    sales_operations.take_back(restock=False, cause=cause("drought"), **back)
    loss = operations.Loss(first, 2, cause("pest"))
    early = {"losses": [loss], "on": DAY + timedelta(5)}
    operations.write_off(request_id=uuid4(), **early)
    undo(operations.write_off(request_id=uuid4(), **early))
    give_price(first, "11.50")


def test_every_kind_of_entry_survives_the_way_out_and_in():
    assert_survives_the_way_out_and_in(all_kinds, DAY + timedelta(21))


def test_what_is_owed_survives_the_way_out_and_in():
    with left_behind():
        all_kinds()
        file = exported()
        before = {row.number: owed(row) for row in Document.objects.standing() if not row.is_credit}
    read(file)

    assert {row.number: owed(row) for row in Document.objects.filter(kind="sale")} == before
    assert Payment.objects.get().method == "cheque"


def test_a_paid_sale_whose_plants_came_back_that_day_survives():
    def write():
        lot = lot_holding(10, medium="20.00")
        sale = sell_from(lot, 4, paid_by="cash")
        back = {"document": sale, "plants": [(lot, 4)], "on": DAY}
        sales_operations.take_back(restock=True, request_id=uuid4(), **back)

    assert_survives_the_way_out_and_in(write)


def test_a_sale_at_two_prices_from_one_lot_survives():
    def write():
        lot = lot_holding(10, medium="20.00")
        items = [
            sales_operations.Item(lot.plant, lot.container, 3, lot=lot, unit_price=Decimal(price))
            for price in ("8.00", "6.00")
        ]
        sale = sales_operations.sell(items=items, on=DAY, request_id=uuid4())
        back = {"document": sale, "plants": [(lot, 2)], "unit_price": Decimal("8.00")}
        sales_operations.take_back(restock=True, on=DAY, request_id=uuid4(), **back)

    assert_survives_the_way_out_and_in(write)


def test_the_same_file_twice_writes_nothing():
    assert read(SMALL) == 3
    before = written(), all_reports(), kept()

    assert read(SMALL) == 0
    assert (written(), all_reports(), kept()) == before


def test_the_same_file_twice_writes_nothing_where_it_begins_with_a_tax():
    taxed = SMALL.replace("document\n", "document,treatment\n", 1)
    taxed += "2025-04-01,tax,,,,,,,,6.25,,,invoice\n"
    assert read(taxed) == 4
    before = written()

    assert read(taxed) == 0
    assert written() == before


@pytest.mark.django_db(transaction=True)
def test_a_check_keeps_nothing():
    before = written()

    assert read(SMALL, check=True) == 3
    assert written() == before
    assert not Lot.objects.exists()


def test_rows_out_of_order_are_sorted_by_date_and_keep_their_order_within_it():
    header, opening, sale, cost = SMALL.splitlines()
    read("\n".join([header, cost, sale, opening]) + "\n")

    # The cost comes before the sale of its day: 43.00 over 20 plants, times 5.
    assert report("margin")[0]["cost_of_sales"] == "10.750000"
    kinds = Operation.objects.order_by("pk").values_list("kind", flat=True)
    assert list(kinds) == ["opening", "cost", "sale"]


@pytest.mark.parametrize(
    "file",
    [
        SMALL.encode("utf-8-sig"),
        SMALL.replace("\n", "\r\n").encode(),
        SMALL.rstrip("\n").encode(),
        SMALL.replace("\n2025", "\n\n2025").encode(),
        SMALL.replace("opening", '"opening"').encode(),
        SMALL.replace("L1", " L1 ").encode(),
    ],
    ids=["byte order mark", "CRLF", "no last line end", "empty lines", "quotes", "spaces"],
)
def test_files_as_spreadsheets_write_them_are_read(file):
    assert read(file) == 3
    assert LotBalance.objects.get().on_hand == 15


def test_a_plant_is_found_however_it_is_spelt():
    more = "2025-04-13,opening,L1,,B2,ilex crenata sky pencil,#1,4,,,,\n"
    read(SMALL + more)

    assert LotBalance.objects.get().on_hand == 19


def test_a_second_file_goes_on_from_the_first():
    read(SMALL)
    header = SMALL.splitlines()[0]
    read(
        f"{header}\n2025-04-11,loss,L1,,,,,10,,,,\n".replace(
            "document\n", "document,cause,treatment\n"
        ).replace(",10,,,,\n", ",10,,,,,winter,normal\n")
    )

    # 40.00 over 10 survivors, 5 sold.
    assert report("margin")[0]["cost_of_sales"] == "20.000000"
    assert_the_books_are_right()


def test_the_commands_say_what_they_did(tmp_path, capfd):
    path, out = tmp_path / "in.csv", tmp_path / "out.csv"
    path.write_text(SMALL, encoding="utf-8")

    call_command("import_ledger", path, check=True)
    assert "3 rows are right. Nothing was kept." in capfd.readouterr().out
    call_command("import_ledger", path)
    said = capfd.readouterr()
    assert said.out == f"{path}: imported 3 rows.\n"
    assert "Reading in.csv" in said.err
    call_command("import_ledger", path)
    assert "nothing to import" in capfd.readouterr().out
    call_command("export_ledger", out)
    assert capfd.readouterr().out == f"{out}: exported 3 rows.\n"
    call_command("export_ledger")
    assert capfd.readouterr().out == out.read_text(encoding="utf-8") == exported()


def test_a_file_that_is_not_there_is_said_so(tmp_path):
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        call_command("import_ledger", tmp_path / "none.csv")
