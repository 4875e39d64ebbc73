"""Entries with an earlier date: what they reach is worked out anew, and undone to the letter."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations
from inventory.errors import CannotUndo, NotEnoughPlants
from inventory.models import Lot, LotBalance, Operation, UncarriedCost
from sales import operations as sales_operations
from tests.factories import DAY, PlantFactory, cause, container, lot_holding, sell_from
from tests.ledger_figures import (
    all_reports,
    assert_the_books_are_right,
    kept,
    report,
    undo,
    written,
)

pytestmark = pytest.mark.django_db


def day(number: int):
    return DAY + timedelta(number)


def lose(lot, quantity, on, treatment="normal"):
    loss = operations.Loss(lot, quantity, cause("winter"), treatment)
    return operations.write_off(losses=[loss], on=on, request_id=uuid4())


def spend(lot, amount, on, category="labour"):
    costs = {category: Decimal(amount)}
    return operations.add_cost(lot=lot, costs=costs, on=on, request_id=uuid4())


def pot_up(lot, quantity, to_lot, on, **more):
    facts = {"lot": lot, "quantity": quantity, "to_lot": to_lot, "container": container("#1")}
    return operations.pot_up(**facts | more, on=on, request_id=uuid4())


def cost_of_sales() -> Decimal:
    return Decimal(report("conservation")[0]["cost_of_sales"])


@pytest.fixture
def sold_ten_times():
    """100 plants that cost 1.00 each, of which ten sales took five each."""
    lot = lot_holding(100, cuttings="100.00")
    for number in range(1, 11):
        sell_from(lot, 5, "4.00", on=day(10 + number))
    return lot


def test_a_loss_before_ten_sales_changes_their_cost_and_their_margin(sold_ten_times):
    lose(sold_ten_times, 20, day(5))

    # By hand: 100.00 over 80 survivors is 1.25 a plant; 50 sold cost 62.50 and brought 200.00.
    (row,) = report("margin")
    assert (row["sold"], row["revenue"], row["cost_of_sales"]) == (50, "200.000000", "62.500000")
    assert (row["unit_cost"], row["margin"]) == ("1.250000", "137.500000")
    assert row["margin_percent"] == "68.750000"
    assert_the_books_are_right()


def test_undoing_the_loss_restores_every_figure_of_every_report(sold_ten_times):
    now, in_between, beside = all_reports(), all_reports(day(13)), kept()
    loss = lose(sold_ten_times, 20, day(5))
    assert all_reports() != now

    undo(loss)

    assert (all_reports(), all_reports(day(13)), kept()) == (now, in_between, beside)
    assert_the_books_are_right()


def test_an_abnormal_loss_before_the_sales_leaves_their_cost_alone(sold_ten_times):
    before = cost_of_sales()

    lose(sold_ten_times, 20, day(5), "abnormal")

    assert cost_of_sales() == before
    assert Decimal(report("conservation")[0]["expensed"]) == Decimal("20.00")


def test_a_loss_between_two_sales_reaches_only_the_later_one():
    lot = lot_holding(30, medium="30.00")
    first, second = sell_from(lot, 10, on=day(2)), sell_from(lot, 10, on=day(8))

    lose(lot, 10, day(5))

    costs = [document.lines.get().takes.get().movement.carried.cost for document in (first, second)]
    assert costs == [Decimal("10.00"), Decimal("20.00")], "20.00 is left for ten plants"


def test_entries_of_one_day_stand_in_the_order_they_were_entered():
    lot = lot_holding(20, medium="20.00")
    sell_from(lot, 10, on=day(1))

    lose(lot, 5, day(1))

    assert cost_of_sales() == Decimal("10.00"), "the loss came after the sale of its day"


def test_a_loss_that_would_leave_less_than_nothing_later_is_refused(sold_ten_times):
    before, rows = all_reports(), written()

    with pytest.raises(NotEnoughPlants, match="L1") as refusal:
        lose(sold_ten_times, 51, day(5))

    # 100 - 51 = 49: the ninth sale is the last one served, the tenth finds 4.
    assert refusal.value.on == day(20)
    assert (refusal.value.held, refusal.value.wanted) == (4, 5)
    assert day(20).isoformat() in str(refusal.value)
    assert (all_reports(), written()) == (before, rows)


def test_plants_that_came_back_later_do_not_excuse_a_shortage_in_between():
    lot = lot_holding(10)
    sell_from(lot, 8, on=day(5))
    operations.count(lot=lot, found=12, on=day(9), request_id=uuid4())

    with pytest.raises(NotEnoughPlants, match=day(5).isoformat()):
        lose(lot, 3, day(2))


def test_a_shortage_in_a_later_lot_is_named_by_that_lot():
    lot = lot_holding(10, "TRAY", size="tray")
    pot_up(lot, 10, "POTS", day(5))
    sell_from(Lot.objects.get(code="POTS"), 10, on=day(8))

    with pytest.raises(NotEnoughPlants, match=f"TRAY held 7 on {day(5)}; 10"):
        lose(lot, 3, day(2))
    with pytest.raises(NotEnoughPlants, match=f"POTS held 9 on {day(8)}; 10"):
        lose(Lot.objects.get(code="POTS"), 1, day(6))


def test_a_shortage_names_the_first_moment_it_would_happen():
    lot = lot_holding(10)
    for number in (4, 6, 8):
        sell_from(lot, 3, on=day(number))

    with pytest.raises(NotEnoughPlants) as refusal:
        lose(lot, 5, day(2))

    assert refusal.value.on == day(6)


def test_a_backdated_cost_reaches_sales_through_lots_and_blends():
    """By hand: 40.00 more on 40 plants is 1.00 each; 20 potted up take 20.00 along, then
    blend with 20 others: 0.50 each more. 10 are sold: 5.00 more cost of sales."""
    plant = PlantFactory()
    tray = lot_holding(40, "TRAY", size="tray", plant=plant, cuttings="40.00")
    pot_up(tray, 20, "POTS", day(5))
    other = lot_holding(20, "OTHER", plant=plant, on=day(1), plants="60.00")
    pots = Lot.objects.get(code="POTS")
    operations.blend(lot=pots, to_lot=other, on=day(6), request_id=uuid4())
    sell_from(other, 10, on=day(9))
    before = cost_of_sales()

    spend(tray, "40.00", day(2))

    assert cost_of_sales() - before == Decimal("5.00")
    assert_the_books_are_right()


def test_a_backdated_pot_up_gives_a_chain_of_lots_its_place_in_time():
    plant = PlantFactory()
    tray = lot_holding(20, "TRAY", size="tray", plant=plant, cuttings="20.00")
    pot_up(tray, 10, "POTS", day(4), costs={"containers": Decimal("10.00")})
    sell_from(Lot.objects.get(code="POTS"), 5, on=day(9))
    before = all_reports(), kept()

    # 5 more at 1.00 join the pots beforehand: 15 plants for 15.00 and 10.00 of pots.
    early = pot_up(tray, 5, "POTS", day(3))

    sold = Decimal(report("margin")[0]["cost_of_sales"])
    assert sold == Decimal("8.333333"), "25.00 times 5 over 15"
    assert_the_books_are_right()
    undo(early)
    assert (all_reports(), kept()) == before


def test_plants_found_on_an_earlier_day_make_later_sales_cheaper():
    lot = lot_holding(10, medium="30.00")
    sell_from(lot, 5, on=day(9))

    operations.count(lot=lot, found=15, on=day(4), request_id=uuid4())

    assert cost_of_sales() == Decimal("10.00"), "30.00 over 15 plants, times 5"
    assert LotBalance.objects.get(lot=lot).on_hand == 10
    assert_the_books_are_right()


def test_a_cost_after_the_lot_is_empty_is_expensed_and_comes_back():
    lot = lot_holding(10, medium="30.00")
    sale = sell_from(lot, 10, on=day(3))
    spend(lot, "7.00", day(5))
    assert Decimal(report("conservation")[0]["expensed"]) == Decimal("7.00")
    assert UncarriedCost.objects.count() == 1

    sales_operations.undo_sale(document=sale, request_id=uuid4())

    assert LotBalance.objects.get(lot=lot).cost == Decimal("37.00")
    assert not UncarriedCost.objects.exists()
    assert_the_books_are_right()


def test_a_cost_that_an_earlier_loss_leaves_without_plants_is_expensed():
    lot = lot_holding(10, medium="30.00")
    spend(lot, "7.00", day(5))
    loss = lose(lot, 10, day(2))
    assert Decimal(report("conservation")[0]["expensed"]) == Decimal("37.00")

    undo(loss)

    assert LotBalance.objects.get(lot=lot).cost == Decimal("37.00")
    assert_the_books_are_right()


def test_a_backdated_loss_changes_what_a_return_brings_back():
    lot = lot_holding(10, medium="20.00")
    sale = sell_from(lot, 4, on=day(5))
    give_back = {"plants": [(lot, 2)], "restock": True, "request_id": uuid4()}
    sales_operations.take_back(document=sale, on=day(7), **give_back)

    lose(lot, 5, day(2))

    # By hand: 4.00 a plant; 4 sold, 2 came back: 2 net are 8.00, and 12.00 stand on 3.
    assert cost_of_sales() == Decimal("8.00")
    assert LotBalance.objects.get(lot=lot).cost == Decimal("12.00")
    assert_the_books_are_right()


def test_undoing_the_first_of_two_returns_leaves_the_second_the_cost_it_has_alone():
    lot = lot_holding(3, medium="1.00")
    sale = sell_from(lot, 3, on=day(5))

    def give_back(on):
        plants = {"plants": [(lot, 1)], "restock": True}
        sales_operations.take_back(document=sale, **plants, on=on, request_id=uuid4())
        return Operation.objects.latest("pk")

    first, _ = give_back(day(6)), give_back(day(7))
    assert LotBalance.objects.get(lot=lot).cost == Decimal("0.666667")

    undo(first)

    # By hand: a third of 1.00 is 0.333333; half of what the first had left was 0.333334.
    assert LotBalance.objects.get(lot=lot).cost == Decimal("0.333333")
    assert_the_books_are_right()


def test_a_beginning_cannot_be_undone_while_its_plants_are_sold():
    lot = lot_holding(10)
    sell_from(lot, 4, on=day(3))

    with pytest.raises(CannotUndo, match=f"L1 held 0 on {day(3)}"):
        undo(Operation.objects.get(kind="stick"))

    assert LotBalance.objects.get(lot=lot).on_hand == 6


def test_an_entry_before_the_lot_began_is_refused():
    lot = lot_holding(10, on=day(5))

    with pytest.raises(NotEnoughPlants, match=f"L1 held 0 on {day(2)}"):
        lose(lot, 1, day(2))
