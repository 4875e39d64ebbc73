"""The year sheet adds up, plant by plant, on the screen, on paper and as a file."""

from datetime import date
from io import BytesIO
from uuid import uuid4

import openpyxl
import pytest
from django.core.management import call_command
from django.urls import reverse

from inventory import operations
from inventory.queries.conservation import conservation
from sales.operations import take_back
from sales.queries.year import YearSums, costs_by_month, in_all, whole_span, year_rows
from tests.factories import (
    NurseryFactory,
    PlantFactory,
    UserFactory,
    cause,
    container,
    lot_holding,
    sell_from,
)
from tests.filled import fill_with_the_demo

pytestmark = pytest.mark.django_db

FIRST, LAST = date(2025, 1, 1), date(2025, 12, 31)


@pytest.fixture
def season():
    """Twenty in the tray for 20.00; ten of them into #1 for 30.00 more; then out, four ways."""
    NurseryFactory()
    plant = PlantFactory(name="Ilex crenata 'Helleri'")
    tray = lot_holding(20, "TRAY", size="tray", plant=plant, on=date(2024, 6, 1), medium="20")
    facts = {"request_id": uuid4(), "on": date(2025, 4, 1)}
    operations.pot_up(lot=tray, quantity=10, container=container("#1"), to_lot="POT", **facts)
    pot = plant.lots.get(code="POT")
    operations.add_cost(lot=pot, costs={"containers": 30}, on=date(2025, 4, 1), request_id=uuid4())
    sell_from(pot, 3, on=date(2025, 5, 1))
    loss = operations.Loss(pot, 2, cause("winter"), "abnormal")
    operations.write_off(losses=[loss], on=date(2025, 6, 1), request_id=uuid4())
    operations.take_out(lot=pot, quantity=1, kind="give", on=date(2025, 7, 1), request_id=uuid4())
    return plant


@pytest.fixture
def page(client):
    client.force_login(UserFactory(is_superuser=True))
    return client


def by_container(rows) -> dict:
    return {row.container.code: row for row in rows}


def test_a_year_of_two_containers(season):
    rows = by_container(year_rows(FIRST, LAST))

    tray, pot = rows["tray"], rows["#1"]
    assert (tray.opening_plants, tray.potted_out, tray.closing_plants) == (20, 10, 10)
    assert (tray.opening_cost, tray.moved_cost, tray.closing_cost) == (20, -10, 10)
    assert (pot.potted_in, pot.sold, pot.lost, pot.given, pot.closing_plants) == (10, 3, 2, 1, 4)
    assert (pot.cost_added, pot.moved_cost, pot.cost_of_sales) == (30, 10, 12)
    assert (pot.expensed, pot.closing_cost) == (12, 16)


def test_the_year_before_holds_what_was_begun(season):
    (tray,) = year_rows(date(2024, 1, 1), date(2024, 12, 31))

    assert (tray.opening_plants, tray.started, tray.closing_plants) == (0, 20, 20)
    assert (tray.opening_cost, tray.cost_added, tray.closing_cost) == (0, 20, 20)


def test_moving_within_a_plant_and_container_is_neither_in_nor_out(season):
    pot = season.lots.get(code="POT")
    facts = {"on": date(2025, 8, 1), "request_id": uuid4()}
    operations.pot_up(lot=pot, quantity=2, container=container("#1"), to_lot="POT-2", **facts)

    row = by_container(year_rows(FIRST, LAST))["#1"]

    assert (row.potted_in, row.potted_out, row.closing_plants) == (10, 0, 4)


def test_a_return_comes_off_what_was_sold(season):
    pot = season.lots.get(code="POT")
    document = sell_from(pot, 2, on=date(2025, 9, 1))
    back = {"on": date(2025, 9, 2), "restock": True, "request_id": uuid4()}
    take_back(document=document, plants=[(pot, 2)], **back)

    row = by_container(year_rows(FIRST, LAST))["#1"]
    assert (row.sold, row.cost_of_sales, row.closing_plants) == (3, 12, 4)


def test_bought_and_found_plants_have_columns_of_their_own(season):
    lot_holding(8, "LINERS", plant=season, kind="receive", on=date(2025, 3, 1), plants="16")
    liners = season.lots.get(code="LINERS")
    operations.count(lot=liners, found=9, on=date(2025, 3, 2), request_id=uuid4())

    row = by_container(year_rows(FIRST, LAST))["#1"]

    assert (row.bought, row.found, row.begun) == (8, 1, 9)
    assert row.cost_difference == 0


def test_the_sheet_adds_up_on_the_demo():
    fill_with_the_demo()
    last = date.today()

    opened = YearSums()
    for year in range(2022, last.year + 1):
        first = date(year, 1, 1)
        rows = year_rows(first, min(date(year, 12, 31), last))
        assert not any(row.plants_difference or row.cost_difference for row in rows)
        total = in_all(rows)
        assert (total.potted_in, total.moved_cost) == (total.potted_out, 0)
        assert total.opening_cost == opened.closing_cost
        assert total.opening_plants == opened.closing_plants
        opened = total

    whole, flow = in_all(year_rows(date(2022, 1, 1), last)), conservation(last)
    assert whole.closing_cost == flow.total.in_stock
    assert whole.cost_of_sales == flow.total.cost_of_sales
    assert whole.expensed == flow.total.expensed
    assert whole.cost_added == flow.total.incurred
    months = costs_by_month(date(2022, 1, 1), last)
    assert sum(sum(month.values()) for month in months.values()) == flow.total.incurred


def test_a_year_of_the_demo_asks_few_questions(django_assert_max_num_queries):
    fill_with_the_demo()

    with django_assert_max_num_queries(9):
        year_rows(FIRST, LAST)


def test_a_span_is_a_calendar_year_unless_told_otherwise():
    assert whole_span(None, date(2024, 3, 5)) == (FIRST.replace(year=2024), date(2024, 3, 5))
    assert whole_span(date(2024, 4, 1), date(2025, 3, 31)) == (date(2024, 4, 1), date(2025, 3, 31))
    today = date.today()
    assert whole_span(None, None) == (today.replace(month=1, day=1), today)


def test_the_page_asks_for_a_login(client, season):
    for name in ("year", "year-pdf", "year-chart"):
        assert client.get(reverse(f"sales:{name}")).status_code == 302


def test_the_page_shows_the_year_and_its_pictures(page, season):
    days = {"since": "2025-01-01", "until": "2025-12-31"}
    text = page.get(reverse("sales:year"), days).content.decode()

    assert '<span class="amount">$26.00</span>' in text
    assert "14 plants at the end" in text
    assert "does not add up" not in text
    assert "These days are not all closed" in text
    for picture in ("year-chart", "losses-chart", "margin-chart"):
        assert reverse(f"sales:{picture}") in text
    chart = page.get(reverse("sales:year-chart"), days)
    assert chart["Content-Type"] == "image/svg+xml"
    assert b"<svg" in chart.content


def test_a_year_without_plants_says_so(page, season):
    days = {"since": "2020-01-01", "until": "2020-12-31"}

    assert "No plants in these days" in page.get(reverse("sales:year"), days).content.decode()
    assert page.get(reverse("sales:year-chart"), days).status_code == 200


def test_the_sheet_is_saved_as_xlsx(page, season):
    days = {"since": "2025-01-01", "until": "2025-12-31", "_export": "xlsx"}
    answer = page.get(reverse("sales:year"), days)

    head, *rows = openpyxl.load_workbook(BytesIO(answer.content)).active.values
    found = {row[1]: dict(zip(head, row, strict=True)) for row in rows}
    assert found["#1"]["Closing"] == 4
    assert found["#1"]["Closing cost, $"] == 16
    assert found["tray"]["Potted out"] == 10


def test_the_sheet_is_set_as_a_pdf(page, season):
    pypdf = pytest.importorskip("pypdf")
    days = {"since": "2025-01-01", "until": "2025-12-31"}
    answer = page.get(reverse("sales:year-pdf"), days)
    if answer.status_code == 503:
        pytest.skip("this machine lacks the libraries that set PDFs")

    pages = pypdf.PdfReader(BytesIO(answer.content)).pages
    text = " ".join(" ".join(page.extract_text().split()) for page in pages)
    assert "Plants and their cost" in text
    assert "an accountant decides" in text


def test_the_report_has_its_fields_and_adds_up(season, capsys):
    call_command("report", "year", "--since=2025-01-01", "--on=2025-12-31", "--format=csv")

    head, *rows = capsys.readouterr().out.strip().splitlines()
    assert head == (
        "plant,container,opening_plants,begun,potted_in,potted_out,sold,lost,used,"
        "closing_plants,opening_cost,cost_added,cost_of_sales,expensed,moved_cost,closing_cost"
    )
    assert len(rows) == 2
