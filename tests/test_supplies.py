"""Supplies: buying, counting, using, undoing; the recipes and the people."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.errors import LedgerError, PeriodClosed
from inventory.models import Closing, Lot, Operation, Person, Recipe, SupplyEntry, WorkEntry
from inventory.operations import reverse, supply_catalogue
from inventory.operations.spending import Use, Work
from inventory.operations.supplies import undo_supply_entry
from inventory.operations.supply_purchases import Purchase, buy_all
from inventory.queries.supplies import quantities_for, recipe_for
from inventory.queries.supply_list import low_supplies, supply_rows
from tests.entering import kept_figures
from tests.factories import PlantFactory, container
from tests.supply_scenes import (
    BOUGHT_ON,
    bought,
    counted,
    jory,
    pot_up,
    potting,
    rooted_tray,
    supply,
    there,
)

pytestmark = pytest.mark.django_db


def test_what_an_operation_uses_leaves_at_the_average_and_joins_the_plants():
    pots, bark = potting()
    bought(pots, "100", "60.00")

    pot_up(rooted_tray(), 40, [Use(pots, Decimal(40)), Use(bark, Decimal(140))])

    # 200 pots for 100.00 are 0.50 each; 40 × 3.00 + 20.00 + 8.40.
    assert there(pots) == (160, Decimal("80.00"))
    assert there(bark) == (860, Decimal("51.60"))
    assert Lot.objects.get(code="THS-24A-1").balance.cost == Decimal("148.40")


def test_time_joins_the_plants_as_labour():
    pot_up(rooted_tray(), 40, [Work(jory(), Decimal(30))])

    assert Lot.objects.get(code="THS-24A-1").balance.cost_labour == Decimal("129.00")
    assert WorkEntry.objects.get().amount == Decimal("9.00")


def test_undo_gives_back_supplies_time_and_cost():
    pots, bark = potting()
    tray, worker = rooted_tray(), jory()
    before = there(pots), there(bark), kept_figures()

    done = pot_up(tray, 40, [Use(pots, Decimal(40)), Work(worker, Decimal(30))])
    reverse(operation=done, request_id=uuid4())

    assert (there(pots), there(bark), kept_figures()) == before
    assert sum(row.minutes for row in WorkEntry.objects.all()) == 0


def test_using_more_than_is_there_costs_the_last_price_and_goes_below_nothing():
    pots = supply()
    bought(pots, "10", "4.00")

    pot_up(rooted_tray(), 40, [Use(pots, Decimal(40))])

    assert there(pots) == (-30, Decimal("-12.00"))


def test_the_last_of_a_supply_takes_the_last_of_its_value():
    pots = supply()
    bought(pots, "3", "1.00")
    tray = rooted_tray()

    for _ in range(3):
        pot_up(tray, 1, [Use(pots, Decimal(1))])

    assert there(pots) == (0, 0)


def test_a_purchase_pressed_twice_is_one():
    pots, request_id = supply(), uuid4()

    first = bought(pots, "10", "4.00", request_id=request_id)

    assert bought(pots, "10", "4.00", request_id=request_id) == first
    assert there(pots) == (10, Decimal("4.00"))


@pytest.mark.parametrize(("quantity", "amount"), [("0", "4"), ("-1", "4"), ("1", "-4")])
def test_a_purchase_of_nothing_or_for_less_than_nothing_is_refused(quantity, amount):
    with pytest.raises(LedgerError, match="quantity, and a price"):
        bought(supply(), quantity, amount)
    assert not SupplyEntry.objects.exists()


def test_a_closed_day_takes_no_purchase_no_count_and_no_undo():
    pots = supply()
    entry = bought(pots, "10", "4.00")
    Closing.objects.create(kind="close", closed_to=date(2025, 12, 31), request_id=uuid4())

    for write in (
        lambda: bought(pots, "1", "1"),
        lambda: counted(pots, "9"),
        lambda: undo_supply_entry(entry=entry, request_id=uuid4()),
    ):
        with pytest.raises(PeriodClosed):
            write()
    assert SupplyEntry.objects.count() == 1


def test_a_count_that_finds_less_takes_its_value_and_one_that_finds_more_brings_none():
    pots = supply()
    bought(pots, "100", "40.00")

    counted(pots, "90")
    assert there(pots) == (90, Decimal("36.00"))
    counted(pots, "96")
    assert there(pots) == (96, Decimal("36.00"))


def test_a_purchase_is_undone_once_and_an_undoing_never():
    pots = supply()
    entry, request_id = bought(pots, "100", "40.00"), uuid4()

    undoing = undo_supply_entry(entry=entry, request_id=request_id)

    assert there(pots) == (0, 0)
    assert undo_supply_entry(entry=entry, request_id=request_id) == undoing
    with pytest.raises(LedgerError, match="undone already"):
        undo_supply_entry(entry=entry, request_id=uuid4())
    with pytest.raises(LedgerError, match="undo that instead"):
        undo_supply_entry(entry=undoing, request_id=uuid4())


def test_what_an_operation_used_is_undone_with_the_operation_only():
    pots, _ = potting()
    pot_up(rooted_tray(), 40, [Use(pots, Decimal(40))])

    with pytest.raises(LedgerError, match="undo that instead"):
        undo_supply_entry(entry=pots.entries.get(kind="used"), request_id=uuid4())


def test_many_purchases_are_taken_in_together_or_not_at_all():
    pots = supply()
    good = Purchase(pots, Decimal(10), Decimal(4), BOUGHT_ON, uuid4())
    bad = Purchase(pots, Decimal(0), Decimal(4), BOUGHT_ON, uuid4())

    with pytest.raises(LedgerError):
        buy_all(purchases=[good, bad])
    assert not SupplyEntry.objects.exists()
    assert len(buy_all(purchases=[good])) == 1
    assert buy_all(purchases=[good]) == []


def test_the_list_says_what_to_order_in_whole_packs():
    pots = supply(pack_size="50", reorder_at="60")
    supply("Tags")
    bought(pots, "60", "24.00")

    row = low_supplies()[0]

    # At the level itself one pack; 51 below it, two.
    assert (row.name, row.packs_to_buy) == ("Pots #1", 1)
    counted(pots, "9")
    assert low_supplies()[0].packs_to_buy == 2
    counted(pots, "61")
    assert low_supplies() == []


def test_the_list_stands_as_it_was_on_a_day(django_assert_max_num_queries):
    pots = supply()
    supply("Tags")
    bought(pots, "10", "4.00")
    bought(pots, "10", "8.00", on=date(2025, 6, 1))

    with django_assert_max_num_queries(1):
        then = supply_rows(date(2025, 5, 1))[0]
    assert (then.on_hand, then.value, then.there.last_price) == (10, 4, Decimal("0.4"))
    assert supply_rows()[0].unit_price == Decimal("0.6")


def test_a_recipe_for_one_plant_goes_before_that_for_all():
    pots, bark = potting()
    mine, other, pot = PlantFactory(), PlantFactory(), container("#1")
    supply_catalogue.set_recipe(
        kind="pot_up", container=pot, plant=mine, quantities={pots: Decimal(2)}
    )

    assert quantities_for(recipe_for("pot_up", pot, mine), 10) == [(pots, 20)]
    # 2.8 litres settled by a fifth are 3.5 loose: by division.
    assert dict(quantities_for(recipe_for("pot_up", pot, other), 40)) == {pots: 40, bark: 140}


def test_a_recipe_is_changed_and_taken_away_by_taking_nothing():
    pots, _ = potting()
    pot = container("#1")

    for _ in range(2):
        supply_catalogue.set_recipe(kind="pot_up", container=pot, quantities={pots: Decimal(3)})
    recipe = Recipe.objects.get()
    assert [(line.supply, line.quantity) for line in recipe.lines.all()] == [(pots, 3)]
    assert recipe.minutes == 0

    supply_catalogue.set_recipe(kind="pot_up", container=pot, quantities={pots: Decimal(0)})
    assert not Recipe.objects.exists()
    with pytest.raises(LedgerError, match="never less"):
        supply_catalogue.set_recipe(kind="pot_up", container=pot, quantities={pots: Decimal(-1)})


def test_a_name_is_taken_once():
    pots = supply("Pots", unit="piece")
    tags = supply("Tags")

    assert supply("pots", unit="piece") == pots
    with pytest.raises(LedgerError, match="on the list already"):
        supply("Pots", unit="gram")
    with pytest.raises(LedgerError, match="on the list already"):
        supply_catalogue.edit_supply(supply=tags, name="POTS")


def test_the_unit_of_a_supply_stays_once_it_was_bought():
    pots = supply()
    assert supply_catalogue.edit_supply(supply=pots, name="Pots", unit="gram").unit == "gram"
    bought(pots, "1", "1")

    with pytest.raises(LedgerError, match="stays so"):
        supply_catalogue.edit_supply(supply=pots, name="Pots", unit="piece")


def test_a_new_rate_leaves_what_was_worked_as_it_was():
    worker = jory("18.00")
    pot_up(rooted_tray(), 40, [Work(worker, Decimal(30))])

    supply_catalogue.edit_person(person=worker, name="Jory", hourly_rate=Decimal(36))

    assert Person.objects.get().hourly_rate == 36
    assert WorkEntry.objects.get().amount == Decimal("9.00")
    assert Operation.objects.filter(kind="pot_up").count() == 1
