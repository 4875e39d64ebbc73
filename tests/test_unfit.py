"""What no ledger can hold is refused in words, whoever notices it."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.errors import LedgerError
from inventory.models import Batch, CostEntry
from inventory.operations import add_cost, pot_up
from inventory.operations.catalogue import edit_place
from inventory.operations.steps import say_how_raised
from inventory.treatment import Treatment
from nursery.listing import harmless
from sales.errors import SaleRefused
from sales.labels.grid import COMMON
from sales.operations import (
    Item,
    SentSale,
    book_sent,
    keep_label_stock,
    pay_several,
    set_tax_rate,
)
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    PlaceFactory,
    UserFactory,
    lot_holding,
)


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        # Ten of these would be more than SQLite's sum of 64 bits: no report would open again.
        ("999999999999", "more than the ledger can hold"),
        ("1E+999999", "more than the ledger can hold"),
        ("NaN", "is not an amount"),
        ("0.0000001", "more than 6 decimal places"),
    ],
)
def test_a_cost_that_cannot_be_held_is_refused(db, amount, said):
    lot = lot_holding(10)

    with pytest.raises(LedgerError, match=said):
        add_cost(lot=lot, costs={"feed": Decimal(amount)}, on=DAY, request_id=uuid4())

    assert not CostEntry.objects.exists()


def test_a_number_that_is_none_and_a_broken_rule_of_the_database_are_refused_in_words(db):
    place, facts = PlaceFactory(), {"basis": "invoice", "name": "Tax", "on": DAY}

    with pytest.raises(LedgerError, match=r"keeps a rule.*place area"):
        edit_place(place=place, name=place.name, area_m2=Decimal(-1))
    with pytest.raises(LedgerError, match="must be a decimal number"):
        set_tax_rate(percent=Decimal("Infinity"), **facts)


def test_fewer_than_no_plants_are_neither_lost_nor_sold(db):
    NurseryFactory()
    lot = lot_holding(10)
    facts = {"to_lot": "P", "container": lot.container, "on": DAY, "request_id": uuid4()}
    item = Item(lot.plant, lot.container, -1, lot=lot, unit_price=Decimal(10))
    sale = SentSale(request_id=uuid4(), items=(item,), grades=("",), made_at=timezone.now())

    with pytest.raises(LedgerError, match="no fewer than none can be lost"):
        pot_up(lot=lot, quantity=5, lost=-1, **facts)
    with pytest.raises(SaleRefused, match="sell at least one"):
        book_sent(sale=sale)

    assert lot.balance.on_hand == 10


@pytest.mark.parametrize("treatment", [{"wood": "bamboo"}, {"hormone_form": "dust"}])
def test_a_treatment_that_is_none_of_the_choices_is_refused_in_words(db, treatment):
    lot_holding(10)
    batch = Batch.objects.get()

    with pytest.raises(LedgerError, match="keeps a rule that this would break: batch"):
        say_how_raised(batch=batch, treatment=Treatment(**treatment))


def test_labels_higher_than_any_number_are_refused(db):
    grid = replace(COMMON["a4-3x8"], height=Decimal("9E+999999"))

    with pytest.raises(LedgerError, match="more than the ledger can hold"):
        keep_label_stock(name="Tall", grid=grid)


def test_a_payment_for_nothing_is_refused(db):
    NurseryFactory()
    paid = {"amount": Decimal(1), "method": "cash", "on": date(2026, 5, 1)}

    with pytest.raises(SaleRefused, match="Choose what is paid"):
        pay_several(buyer=BuyerFactory(), documents=[], request_id=uuid4(), **paid)


@pytest.mark.parametrize("address", ["/s/a%00b/", "/list/photos/%00"])
def test_a_path_with_a_zero_byte_is_refused(client, db, address):
    assert client.get(address).status_code == 400


def test_a_zero_byte_in_what_is_asked_is_left_out(client, db):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))

    answer = client.get("/search/?q=th%%0000uja")

    assert answer.status_code == 200 and 'value="thuja"' in answer.text


def test_a_file_leaves_out_what_a_sheet_cannot_hold():
    assert harmless("pasted\x0bfrom a letter\x00") == "pastedfrom a letter"
