"""Supplies in the ledger file: the way out and in, and rows that are not right."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.models import Lot, Operation, Person, SupplyEntry
from inventory.operations import add_cost, reverse
from inventory.operations.spending import Use, Work
from inventory.operations.supplies import undo_supply_entry
from inventory.operations.supply_catalogue import add_person
from sales.ledger_file.importing import import_ledger
from sales.ledger_file.rows import RowError
from sales.reports import REPORTS
from tests.supply_scenes import (
    bought,
    counted,
    jory,
    pot_up,
    potting,
    rooted_tray,
    supply,
    there,
)
from tests.test_ledger_file import assert_the_books_are_right, exported, left_behind, read

pytestmark = pytest.mark.django_db


def lived_in():
    """Fill a ledger with purchases, counts and uses, some undone."""
    pots, bark = potting()
    tray = rooted_tray()
    supply("Tags", pack_size="500", reorder_at="20.5", note="on the shelf")
    done = pot_up(tray, 10, [Use(pots, Decimal(10))])
    reverse(operation=done, request_id=uuid4())
    uses = [Use(pots, Decimal(40)), Use(bark, Decimal("140.25")), Work(jory(), Decimal(30))]
    pot_up(tray, 40, uses)
    undo_supply_entry(entry=bought(pots, "7", "9.00"), request_id=uuid4())
    bought(pots, "33", "14.50", on=date(2025, 6, 1), supplier="Hollin Bank, bark & pots")
    counted(pots, "90", on=date(2025, 6, 2), note="in the shed")
    counted(bark, "870", on=date(2025, 6, 2))
    lot = Lot.objects.get(code="THS-24A-1")
    free = supply("Free tags")
    bought(free, "10", "0")
    what = {"uses": [Use(free, Decimal(4))], "costs": {"other": Decimal(2)}}
    add_cost(lot=lot, on=date(2025, 6, 3), request_id=uuid4(), **what)


def test_the_report_is_equal_after_the_way_out_and_in():
    days = (None, date(2025, 5, 1), date(2025, 6, 1))
    names = ("supplies", "costs", "valuation")
    with left_behind():
        lived_in()
        file = exported()
        before = [REPORTS[name](on=day) for day in days for name in names]

    with left_behind():
        read(file)
        after = [REPORTS[name](on=day) for day in days for name in names]
        again = exported()
        assert read(file) == 0, "the same file again writes nothing"
        assert_the_books_are_right()

    assert before[0][2]["supply"] == "Pots #1"
    assert before[0][2]["on_hand"] == 90
    assert after == before
    assert again == file


def test_a_use_that_came_in_is_undone_with_the_cost_it_made():
    with left_behind():
        pots, _ = potting()
        pot_up(rooted_tray(), 40, [Use(pots, Decimal(40))])
        file = exported()
    read(file)
    used = SupplyEntry.objects.get(kind="used")

    reverse(operation=used.operation, request_id=uuid4())

    assert there(used.supply) == (100, Decimal("40.00"))
    assert Lot.objects.get(code="THS-24A").balance.on_hand == 52


def test_a_potting_stays_one_entry_with_its_supplies_its_time_and_their_costs():
    with left_behind():
        pots, bark = potting()
        uses = [Use(pots, Decimal(40)), Use(bark, Decimal(140)), Work(jory(), Decimal(30))]
        pot_up(rooted_tray(), 40, uses)
        file = exported()

    read(file)

    potted = Operation.objects.get(kind="pot_up")
    assert [(row.category, row.amount) for row in potted.costs.order_by("pk")] == [
        ("containers", Decimal("16.00")),
        ("medium", Decimal("8.40")),
        ("labour", Decimal("9.00")),
    ], "by hand, as in `potting`"
    work = potted.work.get()
    assert (str(work.person), work.minutes, work.amount) == ("Jory", 30, Decimal("9.00"))
    assert potted.supplies.count() == 2
    assert work.person.hourly_rate == Decimal("18.00")
    assert_the_books_are_right()


def test_people_alone_add_one_column_and_own_time_comes_back():
    with left_behind():
        rooted_tray()
        plain = exported().splitlines()[0]
        add_person(name="Maren", hourly_rate=Decimal("24.50"), is_own=True)
        file = exported()

    assert plain + ",person" == file.splitlines()[0]
    read(file)
    maren = Person.objects.get()
    assert (maren.name, maren.hourly_rate, maren.is_own) == ("Maren", Decimal("24.50"), True)


@pytest.mark.parametrize(
    ("cells", "column", "right"),
    [
        ("03,work,T,Jory,30,9.00,", "person", "there is no Jory"),
        ("03,work,T,,30,9.00,", "person", "who worked"),
        ("04,person,,Jory,,,18\n2025-03-04,work,T,Jory,30,9.00,", "event", "no entry of this day"),
        ("03,person,,Jory,,,18\n2025-03-03,work,T,Jory,-1,9.00,", "quantity", "too little"),
        ("03,person,,Jory,,,", "price", "a number"),
        ("04,supply_use,T,,4,1.00,", "lot", "no entry of this day"),
        ("03,supply_use,U,,4,1.00,", "lot", "there is no lot U"),
    ],
)
def test_work_that_is_not_right_is_told_and_nothing_kept(tmp_path, cells, column, right):
    path = tmp_path / "file.csv"
    head = "date,event,lot,person,quantity,amount,price,batch,plant,container,supply\n"
    begun = "2025-03-03,stick,T,,50,10.00,,T,Thuja 'Green Giant',tray,\n"
    path.write_text(f"{head}{begun}2025-03-{cells},,,,Pots\n", encoding="utf-8")

    with pytest.raises(RowError, match=right) as refused:
        import_ledger(path)

    assert refused.value.column == column
    assert not Operation.objects.exists()


def test_a_file_of_purchases_alone_makes_its_supplies():
    rows = "2025-03-03,purchase,Pots #1,piece,100.5,40.25,containers,Marrowgate Pot Works\n"
    file = f"date,event,supply,unit,quantity,amount,category,note\n{rows}"

    assert (read(file), read(file)) == (1, 0)

    entry = SupplyEntry.objects.get()
    assert (entry.supplier, entry.quantity) == ("Marrowgate Pot Works", Decimal("100.5"))
    assert there(entry.supply) == (Decimal("100.5"), Decimal("40.25"))


@pytest.mark.parametrize(
    ("cells", "column", "right"),
    [
        ("purchase,,piece,1,1,,", "supply", "the name of a supply"),
        ("purchase,Pots,gallon,1,1,,", "unit", "write one of piece"),
        ("purchase,Pots,piece,some,1,,", "quantity", "not a number"),
        ("purchase,Pots,piece,0,1,,", "quantity", "more than nothing"),
        ("purchase,Pots,piece,1,-1,,", "amount", "nothing or more"),
        ("purchase,Pots,piece,1,,,", "amount", "empty"),
        ("purchase,Pots,piece,1,1,gold,", "category", "is not known"),
        (f"purchase,Pots,piece,1,1,,{'x' * 81}", "note", "at most 80"),
        (f"purchase,{'x' * 81},piece,1,1,,", "supply", "at most 80"),
        ("supply,Pots,piece,0,,,", "quantity", "a pack holds something"),
        ("supply,Pots,piece,1,,,", "", ""),
    ],
)
def test_a_row_that_is_not_right_is_told_and_nothing_kept(tmp_path, cells, column, right):
    path = tmp_path / "file.csv"
    head = "date,event,supply,unit,quantity,amount,category,note\n"
    path.write_text(f"{head}2025-03-03,{cells}\n", encoding="utf-8")
    if not right:
        assert import_ledger(path) == 1
        return

    with pytest.raises(RowError, match=right) as refused:
        import_ledger(path)

    assert (refused.value.line, refused.value.column) == (2, column)
    assert not SupplyEntry.objects.exists()
    assert not Operation.objects.exists()


def test_two_units_for_one_supply_are_told(tmp_path):
    path = tmp_path / "file.csv"
    rows = "2025-03-03,purchase,Pots,piece,1,1\n2025-03-03,purchase,Pots,gram,1,1\n"
    path.write_text(f"date,event,supply,unit,quantity,amount\n{rows}", encoding="utf-8")

    with pytest.raises(RowError, match="counted by the piece"):
        import_ledger(path)
