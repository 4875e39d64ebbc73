"""Plants that stay too long in the pot, with what each choice brings; figures by hand."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory import operations
from inventory.models import Lot
from inventory.operations import supply_catalogue
from sales.queries.long_in_pot import long_in_pot, whole_months
from tests.entering import as_grower
from tests.factories import container, give_price, lot_holding, sell_from
from tests.faults.clock import set_back
from tests.supply_scenes import bought, jory, supply

NOW = date(2026, 11, 25)
POTTED = date(2024, 5, 1)


@pytest.fixture
def old(db):
    """100 liners at 1.00, potted up in May 2024; 40 were sold in 2026 at 12.00."""
    tray = lot_holding(100, "T1", size="tray", on=date(2023, 6, 1), medium="100.00")
    operations.pot_up(
        lot=tray,
        quantity=100,
        container=container("#1"),
        to_lot="P1",
        on=POTTED,
        request_id=uuid4(),
    )
    lot = Lot.objects.get(code="P1")
    give_price(lot, "12.00")
    sell_from(lot, 40, "12.00", on=date(2026, 5, 1))
    return lot


def add_cost(lot, amount, on):
    facts = {"costs": {"heat": Decimal(amount)}, "on": on, "request_id": uuid4()}
    operations.add_cost(lot=lot, **facts)


def test_a_lot_counts_from_the_day_it_came_into_its_pot(old):
    """Stuck in 2023, in its pot since May 2024: 30 whole months."""
    [row] = long_in_pot(NOW)

    assert (row.lot, row.since, row.months, row.on_hand) == (old, POTTED, 30, 60)
    assert not long_in_pot(NOW, months=31)
    assert whole_months(date(2024, 5, 26), NOW) == 29


def test_what_keeping_costs_and_how_long_it_goes_on(old):
    """12.00 of heat within the year is 1.00 a month; 60 at 40 a year last 18 months."""
    add_cost(old, "12.00", date(2026, 8, 1))
    add_cost(old, "90.00", date(2025, 8, 1))
    [row] = long_in_pot(NOW)

    assert (row.holding, row.sold, row.months_to_sell) == (Decimal(1), 40, 18)
    assert row.kept_until_sold == pytest.approx(Decimal(18) / 2 / 60)
    # 1.00 each; 90.00 over the 100 of 2025, 12.00 over the 60 of 2026.
    assert row.unit_cost == pytest.approx(Decimal("1.00") + Decimal("0.90") + Decimal("0.20"))
    assert row.room_to_mark_down == pytest.approx(Decimal(12) - Decimal("2.10"))


def test_the_next_larger_pot_is_weighed_with_what_potting_takes(old):
    assert long_in_pot(NOW)[0].shift is None
    give_price(lot_holding(1, "S3", size="#3", plant=old.plant), "30.00")
    [row] = long_in_pot(NOW)
    assert row.shift.container == container("#3") and row.shift.takes is None

    pots = supply("Pots #3")
    bought(pots, "100", "250.00")
    jory("20.00")
    what = {"minutes": Decimal(3), "quantities": {pots: Decimal(1)}}
    supply_catalogue.set_recipe(kind="pot_up", container=container("#3"), **what)

    # A pot at 2.50 and three minutes at 20.00 an hour are 3.50; 30 less 12 less 3.50.
    assert long_in_pot(NOW)[0].gain_of_shift == Fraction("14.5")


def test_plants_that_only_moved_or_were_parted_are_as_long_in_the_pot(old):
    facts = {"on": date(2026, 9, 1), "request_id": uuid4()}
    operations.move(lot=old, quantity=20, to_lot="P2", place=None, **facts)

    assert [(row.lot.code, row.since) for row in long_in_pot(NOW)] == [
        ("P1", POTTED),
        ("P2", POTTED),
    ]


def test_the_page_shows_each_choice_with_its_way(client, old):
    as_grower(client)
    with set_back(timezone.localdate() - NOW):
        text = client.get(reverse("sales:long-in-pot")).content.decode()

    assert "60" in text and "30 months in the pot" in text and "Mark down" in text
    assert f"{reverse('inventory:write-off')}?lot={old.pk}" in text
    text = client.get(reverse("sales:long-in-pot"), {"least": "200"}).content.decode()
    assert "No plant is that long in its pot" in text
