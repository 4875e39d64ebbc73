"""`manage.py verify` agrees with a right ledger and names what is wrong in another."""

from decimal import Decimal
from io import StringIO
from uuid import uuid4

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.models import Max
from django.db.models.functions import Length

from inventory import operations
from inventory.errors import LedgerError
from inventory.models import Carried, LotBalance, Movement, UncarriedCost
from inventory.operations import leave
from inventory.operations.rebuild import rebuild
from nursery import append_only
from sales.operations import take_back
from tests.factories import DAY, PlaceFactory, lot_holding, sell_from
from tests.filled import fill_with_the_demo
from tests.ledger_figures import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot():
    """A lot that was sold from twice."""
    lot = lot_holding(20, "WINTER-7", medium="40.00")
    sell_from(lot, 4)
    sell_from(lot, 3)
    return lot


def run(statement: str, *values) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def verify() -> str:
    out = StringIO()
    call_command("verify", stdout=out)
    return out.getvalue()


def test_a_right_ledger_verifies(lot):
    assert verify() == (
        "Verified: 3 movements; every balance, cost and document agrees with the ledger.\n"
    )


def test_an_empty_ledger_verifies():
    assert verify().startswith("Verified: 0 movements")


def test_the_demo_verifies_and_a_balance_changed_in_sql_is_named():
    fill_with_the_demo()
    assert verify()
    code = LotBalance.objects.filter(on_hand__gt=0).first().lot.code

    run(
        "UPDATE inventory_lotbalance SET on_hand = on_hand + 1 "
        "WHERE lot_id = (SELECT id FROM inventory_lot WHERE code = %s)",
        code,
    )

    with pytest.raises(CommandError, match=f"Lot {code}: on hand is kept as"):
        verify()


def test_the_demo_fits_the_columns_of_any_database():
    """SQLite takes a text of any length; PostgreSQL refuses one longer than its column."""
    fill_with_the_demo()

    for model in apps.get_models():
        for field in model._meta.fields:
            if field.get_internal_type() == "CharField" and field.max_length:
                texts = model.objects.annotate(length=Length(field.name))
                longest = texts.aggregate(longest=Max("length"))["longest"] or 0
                assert longest <= field.max_length, f"{model.__name__}.{field.name}"


@pytest.mark.parametrize(
    ("column", "words"),
    [
        ("on_hand", "on hand is kept as 14; a replay of the ledger gives 13"),
        ("cost_medium", "medium is kept as 26.000001; a replay of the ledger gives 26.000000"),
        ("cost_other", "other is kept as 0.000001; a replay of the ledger gives 0.000000"),
    ],
)
def test_a_changed_balance_is_named_with_both_figures(lot, column, words):
    run(f"UPDATE inventory_lotbalance SET {column} = {column} + 1")

    with pytest.raises(CommandError, match=f"Lot WINTER-7: {words}"):
        verify()


@pytest.mark.parametrize("column", ["on_hand_after", "cost_medium"])
def test_a_changed_cost_of_a_movement_is_named_by_its_lot(lot, column):
    sale = Movement.objects.filter(kind="sold").first()
    run(f"UPDATE inventory_carried SET {column} = {column} + 1 WHERE movement_id = %s", sale.pk)

    with pytest.raises(CommandError, match=f"Lot WINTER-7: movement {sale.pk} on {DAY}"):
        verify()


def test_a_movement_whose_cost_was_dropped_is_named(lot):
    last = Movement.objects.latest("pk")
    Carried.objects.filter(movement=last).delete()

    with pytest.raises(CommandError, match=f"Lot WINTER-7: movement {last.pk}"):
        verify()


def test_a_lot_without_its_balance_row_is_named(lot):
    LotBalance.objects.filter(lot=lot).delete()

    with pytest.raises(CommandError, match="Lot WINTER-7 has no balance row"):
        verify()


def test_a_cost_wrongly_listed_as_carried_by_nobody_is_found(lot):
    entry = lot.cost_entries.get()
    UncarriedCost.objects.create(entry=entry)

    with pytest.raises(CommandError, match="costs that no plant carries"):
        verify()


def test_a_lot_kept_at_another_place_is_named(lot):
    operations.move(lot=lot, place=PlaceFactory(), on=DAY, request_id=uuid4())
    other = PlaceFactory()
    LotBalance.objects.update(place=other)

    with pytest.raises(CommandError, match=f"Lot WINTER-7 is kept at {other}; it stands at"):
        verify()


def test_a_last_day_kept_too_early_is_found(lot):
    run("UPDATE inventory_lotbalance SET last_on = NULL")

    with pytest.raises(CommandError, match="Lot WINTER-7"):
        verify()


def test_a_ledger_row_changed_with_the_triggers_lifted_is_found(lot):
    """Nobody can do this by accident: the triggers have to be dropped first."""
    append_only.remove(["inventory_movement", "sales_documentline"], connection)
    run("UPDATE inventory_movement SET quantity = 2 WHERE kind = 'sold' AND quantity = 3")
    with pytest.raises(CommandError, match="WINTER-7"):
        verify()
    run("UPDATE inventory_movement SET quantity = 3 WHERE kind = 'sold' AND quantity = 2")
    assert verify()

    run("UPDATE inventory_movement SET date = '2025-04-11' WHERE quantity = 3")
    with pytest.raises(CommandError, match="does not bear its operation's date"):
        verify()
    run("UPDATE inventory_movement SET date = '2025-04-10'")

    run("UPDATE sales_documentline SET quantity = 5 WHERE quantity = 4")
    with pytest.raises(CommandError, match=r"a line of 5 .* took 4 plants"):
        verify()


def test_more_back_than_were_sold_is_refused_and_would_be_named(lot, monkeypatch):
    sale = sell_from(lot, 4)
    back = {"document": sale, "plants": [(lot, 3), (lot, 3)], "restock": True, "on": DAY}

    with pytest.raises(LedgerError, match="4 of these plants are still with the buyer; 6"):
        take_back(**back, request_id=uuid4())

    monkeypatch.setattr(leave, "still_out", lambda sale: 6)
    take_back(**back, request_id=uuid4())
    with pytest.raises(CommandError, match=f"of 4 plants sold on {DAY} 6 came back"):
        verify()


def test_a_rebuild_mends_whatever_was_changed(lot):
    right = kept()
    LotBalance.objects.update(on_hand=99, cost_medium=Decimal(1), last_on=None)
    Carried.objects.all().delete()
    UncarriedCost.objects.create(entry=lot.cost_entries.get())

    rebuild()

    assert kept() == right
    assert verify()
