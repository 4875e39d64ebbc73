"""The reports: their fields, their formats, and an output that a program can read."""

import csv
import io
import json
import os
import re
import subprocess
import sys
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command

from inventory import operations
from tests.factories import DAY, BuyerFactory, cause, give_price, lot_holding, sell_from
from tests.filled import fill_with_the_demo
from tests.ledger_figures import assert_conserved

pytestmark = pytest.mark.django_db

ROOT = Path(__file__).resolve().parent.parent
SIX_PLACES = re.compile(r"-?\d+\.\d{6}")
WAYS = ("lot", "plant", "container", "batch", "sale", "buyer", "channel", "month")
MARGIN = (
    "key",
    "sold",
    "revenue",
    "cost_of_sales",
    "margin",
    "unit_price",
    "unit_cost",
    "unit_margin",
    "margin_percent",
)
# Report: its fields in order, and those that hold exact numbers.
FIELDS = {
    "lots": (
        "lot plant container place age_class batches on_hand held available cost unit_cost",
        ("cost", "unit_cost"),
    ),
    "availability": ("plant container grade available price ready_on", ("price",)),
    "costs": ("lot category amount", ("amount",)),
    "margin": (" ".join(MARGIN), MARGIN[2:]),
    "losses": ("date lot cause quantity normal abnormal expensed", ("expensed",)),
    "trace": ("direction batch lot document buyer quantity share", ("share",)),
    "valuation": ("lot on_hand cost", ("cost",)),
    "conservation": (
        "plants_begun plants_on_hand plants_sold plants_lost plants_used incurred in_stock "
        "cost_of_sales expensed difference",
        ("incurred", "in_stock", "cost_of_sales", "expensed", "difference"),
    ),
    "year": (
        "plant container opening_plants begun potted_in potted_out sold lost used closing_plants "
        "opening_cost cost_added cost_of_sales expensed moved_cost closing_cost",
        (
            "opening_cost",
            "cost_added",
            "cost_of_sales",
            "expensed",
            "moved_cost",
            "closing_cost",
        ),
    ),
    "journal": ("date entry account debit credit text document", ("debit", "credit")),
}
OPTIONS = {"trace": {"lot": "L1"}, "year": {"since": DAY, "on": DAY}}


@pytest.fixture
def lot():
    """33 plants that cost 100.00, some of them sold and lost, with a list price."""
    lot = lot_holding(33, medium="100.00")
    losses = [operations.Loss(lot, 2, cause("winter"), "abnormal")]
    operations.write_off(losses=losses, on=DAY, request_id=uuid4())
    sell_from(lot, 5, on=DAY, buyer=BuyerFactory())
    give_price(lot, "12.50")
    return lot


def printed(name: str, form: str = "json", **options) -> str:
    out = io.StringIO()
    call_command("report", name, format=form, stdout=out, **OPTIONS.get(name, {}) | options)
    return out.getvalue()


@pytest.mark.parametrize("name", FIELDS)
def test_its_fields_are_those_of_the_design_and_numbers_are_exact(lot, name):
    fields, exact = FIELDS[name]

    rows = json.loads(printed(name))

    assert rows
    for row in rows:
        assert list(row) == fields.split()
        for field in exact:
            assert row[field] is None or SIX_PLACES.fullmatch(row[field]), (field, row[field])


@pytest.mark.parametrize("name", FIELDS)
def test_the_three_formats_say_the_same(lot, name):
    rows = json.loads(printed(name))
    lines = list(csv.reader(io.StringIO(printed(name, "csv"))))
    table = printed(name, "table").splitlines()

    assert lines[0] == table[0].split() == list(rows[0])
    assert len(lines) - 1 == len(table) - 1 == len(rows)
    for row, line in zip(rows, lines[1:], strict=True):
        plain = {field: value for field, value in row.items() if not isinstance(value, list)}
        cells = dict(zip(lines[0], line, strict=True))
        assert {field: cells[field] for field in plain} == {
            field: "" if value is None else str(value) for field, value in plain.items()
        }


def test_a_lots_batches_are_named_with_their_shares(lot):
    (row,) = json.loads(printed("lots"))

    assert row["batches"] == [{"batch": "B-L1", "share": "1.000000"}]
    assert "B-L1 1.000000" in printed("lots", "csv")


@pytest.mark.parametrize("name", [name for name in FIELDS if name not in ("conservation", "trace")])
def test_an_empty_report_is_an_empty_list(name):
    lot_holding(1)
    on = DAY - timedelta(1)

    assert json.loads(printed(name, on=on)) == []
    assert printed(name, "csv", on=on).strip() == ""
    assert printed(name, "table", on=on) == "Nothing to show.\n"


@pytest.mark.parametrize(
    "by", ["lot", "plant", "container", "batch", "sale", "buyer", "channel", "month"]
)
def test_margin_adds_up_by_whatever_is_asked(lot, by):
    rows = json.loads(printed("margin", by=by))

    assert sum(Decimal(row["revenue"]) for row in rows) == 50
    # 100.00 times 5 over 33, to the millionth.
    assert sum(Decimal(row["cost_of_sales"]) for row in rows) == Decimal("15.151515")


def test_a_report_of_an_earlier_day_knows_nothing_of_later_ones(lot):
    losses = [operations.Loss(lot, 20, cause("winter"), "normal")]
    before = {name: printed(name, on=DAY) for name in FIELDS if name != "trace"}

    operations.write_off(losses=losses, on=DAY + timedelta(3), request_id=uuid4())
    sell_from(lot, 2, on=DAY + timedelta(4))

    after = {name: printed(name, on=DAY) for name in FIELDS if name != "trace"}
    assert after == before


def test_availability_is_filtered_by_container_and_plant(lot):
    name = lot.plant.name.replace("'", "").upper()
    options = {"container": "#1", "plant": name}

    (row,) = json.loads(printed("availability", **options))
    assert (row["available"], row["price"], row["ready_on"]) == (26, "12.500000", None)
    assert json.loads(printed("availability", container="#3")) == []
    assert json.loads(printed("availability", plant="Zelkova")) == []


def test_plants_in_trays_are_not_available():
    lot_holding(50, size="tray")

    assert json.loads(printed("availability")) == []
    assert json.loads(printed("lots"))[0]["available"] == 0


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"lot": "L9"}, "There is no lot L9"),
        ({"document": "2020-0001"}, "There is no document 2020-0001"),
        ({"batch": "B9"}, "There is no batch B9"),
        ({}, "Say what to trace: --document, --lot or --batch"),
    ],
)
def test_a_trace_of_what_is_not_there_is_refused_in_words(options, words):
    with pytest.raises(CommandError, match=words):
        call_command("report", "trace", **options)


def test_a_day_that_is_no_day_is_refused_in_words():
    with pytest.raises(CommandError, match=r"30\.4\.2026 is not a date; write 2026-04-30"):
        call_command("report", "lots", "--on", "30.4.2026")


def test_the_demo_is_conserved_on_any_day():
    fill_with_the_demo()

    for on in (None, date(2024, 2, 29), date(2025, 6, 30), date(2026, 1, 1)):
        assert_conserved(on)
        (row,) = json.loads(printed("conservation", on=on))
        assert row["difference"] == "0.000000"
        held = json.loads(printed("valuation", on=on))
        assert sum(line["on_hand"] for line in held) == row["plants_on_hand"]
        assert sum(Decimal(line["cost"]) for line in held) == Decimal(row["in_stock"])
        costs = json.loads(printed("costs", on=on))
        assert sum(Decimal(line["amount"]) for line in costs) == Decimal(row["in_stock"])
        margin = json.loads(printed("margin", by="month", on=on))
        assert sum(Decimal(line["cost_of_sales"]) for line in margin) == Decimal(
            row["cost_of_sales"]
        )
        assert sum(line["sold"] for line in margin) == row["plants_sold"]
        lost = json.loads(printed("losses", on=on))
        assert sum(line["quantity"] for line in lost) == row["plants_lost"]


def command(*words, data: Path) -> subprocess.CompletedProcess:
    """Run the command line as a person does, on a ledger of its own."""
    environment = os.environ | {
        "DATABASE_URL": f"sqlite:///{(data / 'ledger.sqlite3').as_posix()}",
        "NURSERY_DATA": str(data),
        "DJANGO_SETTINGS_MODULE": "nursery.settings",
    }
    return subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), *words],
        env=environment,
        cwd=data,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.mark.sqlite
def test_standard_output_holds_the_report_and_nothing_else(first_start, tmp_path):
    first_start.copy_to(tmp_path)
    ledger = tmp_path / "in.csv"
    ledger.write_text(
        "date,event,lot,batch,plant,container,quantity,amount\n"
        "2025-04-10,opening,L1,B1,Ilex crenata 'Sky Pencil',#1,20,40.00\n",
        encoding="utf-8",
    )
    imported = command("import_ledger", str(ledger), data=tmp_path)
    assert imported.stdout == f"{ledger}: imported 1 rows.\n", imported.stderr

    said = command("report", "valuation", "--format", "json", data=tmp_path)
    assert json.loads(said.stdout) == [{"lot": "L1", "on_hand": 20, "cost": "40.000000"}]
    exported = command("export_ledger", data=tmp_path).stdout
    assert exported.splitlines()[0].startswith("date,event,lot,to_lot,batch,plant")
    assert len(exported.splitlines()) == 2
    assert command("verify", data=tmp_path).stdout.startswith("Verified: 1 movements")


@pytest.mark.sqlite
def test_a_refusal_leaves_standard_output_empty(first_start, tmp_path):
    first_start.copy_to(tmp_path)
    said = command("report", "trace", "--lot", "L9", data=tmp_path)

    assert (said.stdout, said.returncode) == ("", 1)
    assert "There is no lot L9." in said.stderr


@pytest.mark.sqlite
@pytest.mark.parametrize("command", ["report lots", "verify", "export_ledger", "import_ledger x"])
def test_a_database_without_a_ledger_is_told_what_to_run(command, tmp_path):
    answer = subprocess.run(
        [sys.executable, "manage.py", *command.split()],
        env=os.environ | {"DATABASE_URL": f"sqlite:///{(tmp_path / 'none').as_posix()}"},
        cwd=Path(__file__).parent.parent,
        capture_output=True,
        text=True,
        check=False,
    )

    assert answer.returncode == 1
    assert "Run first: python3 manage.py migrate" in answer.stderr
    assert "Traceback" not in answer.stderr
