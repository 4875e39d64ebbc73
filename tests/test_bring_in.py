"""Bring in what stood in a notebook: ages, costs, prices, once, undone whole, carried on."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations
from inventory.errors import LedgerError, PeriodClosed
from inventory.models import Batch, Closing, Lot, Operation, Place, Plant
from inventory.operations import Standing, bring_in
from inventory.queries.ages import age_of
from inventory.queries.proof import differences
from sales.models import Price
from sales.reports import availability_report, lots_report
from tests.factories import DAY, container, lot_holding
from tests.test_ledger_file import exported, left_behind, read

pytestmark = pytest.mark.django_db


def standing(plant="Thuja occidentalis 'Smaragd'", quantity=40, size="#1", **more):
    facts = {"began_on": date(2023, 4, 1), **more}
    return Standing(plant=plant, container=container(size), quantity=quantity, **facts)


def brought(*rows, request_id=None, on=DAY):
    return bring_in(rows=rows or [standing()], on=on, request_id=request_id or uuid4())


def test_rows_become_lots_with_their_age_cost_and_place():
    potted = date(2024, 4, 1)
    row = standing(amount=Decimal("101.20"), place="Bed 4", transplanted_on=potted, lot="OLD-7")
    operation = brought(row, standing("Taxus baccata", 3, "tray"))

    lot = Lot.objects.get(code="OLD-7")
    assert (lot.balance.on_hand, lot.balance.cost, str(lot.balance.place)) == (
        *(40, Decimal("101.20")),
        "Bed 4",
    )
    assert age_of(lot, DAY).startswith("1+1, second season in the pot")
    assert operation.movements.count() == 2
    assert set(Batch.objects.values_list("kind", flat=True)) == {"opening"}
    assert Lot.objects.exclude(pk=lot.pk).get().code == "TAB-23A"


def test_a_price_told_beside_the_plants_is_a_price_of_the_stand():
    brought(standing(price=Decimal("24.50"), grade="A"), standing(price=Decimal("19"), quantity=2))

    prices = Price.objects.values_list("grade", "amount", "list", "valid_from")
    assert set(prices) == {("A", Decimal("24.50"), "stand", DAY), ("", Decimal(19), "stand", DAY)}


def test_the_same_request_again_writes_nothing():
    key = uuid4()

    first, again = brought(request_id=key), brought(request_id=key)

    assert first == again and Lot.objects.count() == 1


def test_all_of_it_is_undone_as_one_and_comes_in_again_under_the_same_codes():
    rows = (standing(price=Decimal(9)), standing("Buxus sempervirens", 5, amount=Decimal(7)))
    operation = brought(*rows)
    codes = set(Lot.objects.values_list("code", flat=True))

    operations.reverse(operation=operation, request_id=uuid4())
    assert not any(row["on_hand"] for row in lots_report()) and not Price.objects.exists()
    brought(*rows)

    assert set(Lot.objects.values_list("code", flat=True)) == codes
    assert {row["on_hand"] for row in lots_report()} == {40, 5}
    assert list(differences()) == []


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ({"lot": "L1"}, "Lot L1 is in use already"),
        ({"quantity": 0}, "at least one plant"),
        ({"began_on": date(2025, 4, 11)}, "after the day they were counted"),
        ({"transplanted_on": date(2025, 4, 11)}, "after the day they were counted"),
    ],
)
def test_one_row_that_cannot_be_keeps_all_out(row, reason):
    lot_holding(5, "L1")
    plants = Plant.objects.count()

    with pytest.raises(LedgerError, match=reason):
        brought(standing(place="Bed 9"), standing("Ilex crenata", **row))

    assert (Plant.objects.count(), Place.objects.count()) == (plants, 0)
    assert Operation.objects.count() == 1


def test_a_closed_day_and_a_notebook_of_nothing_are_refused():
    Closing.objects.create(kind="close", closed_to=DAY, request_id=uuid4())

    with pytest.raises(PeriodClosed):
        brought()
    with pytest.raises(LedgerError, match="No row comes in"):
        bring_in(rows=[], on=date(2025, 4, 11), request_id=uuid4())


def test_a_second_part_keeps_the_codes_apart_and_the_grade_goes_along():
    brought(standing(grade="A", lot="OLD"))
    brought(standing(), standing())
    operations.move(
        lot=Lot.objects.get(code="OLD"), quantity=3, to_lot="P", on=DAY, request_id=uuid4()
    )

    assert Lot.objects.get(code="P").grade == "A"
    assert set(Lot.objects.values_list("code", flat=True)) == {"OLD", "P", "TOS-23A-1", "TOS-23B-1"}
    assert list(differences()) == []


def told():
    return lots_report(), availability_report(on=date(2026, 6, 1))


def test_what_a_notebook_told_survives_the_ledger_file():
    with left_behind():
        brought(
            standing(transplanted_on=date(2024, 4, 1), amount=Decimal("12.34"), place="Bed 4"),
            standing("Taxus baccata", 7, grade="B", price=Decimal(8), ready_on=date(2026, 5, 1)),
        )
        before, text = told(), exported()

    read(text)

    assert "2023-04-01/2024-04-01" in text
    assert told() == before and exported() == text
    assert Lot.objects.get(plant__name="Taxus baccata").grade == "B"


def test_a_ledger_whose_plants_began_with_their_entry_keeps_the_plain_columns():
    lot = lot_holding(5)
    operations.pot_up(
        lot=lot,
        quantity=2,
        to_lot="L2",
        container=container("#3"),
        on=date(2025, 5, 1),
        request_id=uuid4(),
    )

    assert exported().splitlines()[0].endswith("document,note")
