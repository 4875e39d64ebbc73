"""A lot's story: read from the ledger, with plants and cost after each step."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations
from inventory.models import Lot
from inventory.queries.destinations import where_plants_went
from inventory.queries.life import life_of
from inventory.queries.stages import last_standing, stages_of
from inventory.queries.steps import steps_of
from inventory.queries.story import Story
from tests.factories import DAY, container, lot_holding, sell_from
from tests.growing_scenes import lose, potted_lot, undo

pytestmark = pytest.mark.django_db


def told(lot):
    return [step for _, happened in Story(lot).chapters for step in steps_of(happened)]


def test_a_story_begins_with_the_cuttings_and_ends_now():
    lot = potted_lot()

    steps = told(lot)

    assert [step.what for step in steps] == [
        "Stuck 100 cuttings, batch TXH-24A",
        "Counted 80 rooted, 20 not",
        "Potted up 40 from lot TXH-24A into #1 at South bed",
        "Wrote off 4, lost to winter",
        f"Sold 6 to a walk-in, {steps[-1].happenings[0].paper.number}",
    ]
    assert [step.after for step in steps] == [100, 80, 40, 36, 30]
    assert [step.change for step in steps] == ["+100", "−20", "+40", "−4", "−6"]


def test_each_step_says_what_one_plant_had_cost_by_then():
    # By hand, in growing_scenes.potted_lot.
    steps = told(potted_lot())

    costs = [round(step.unit_cost, 4) for step in steps]
    assert costs == [Decimal(n) for n in ("0.5", "0.625", "2.125", "2.3611", "2.3611")]


def test_the_running_sums_end_at_what_the_lot_is_kept_to_hold():
    lot = potted_lot()

    last = last_standing(Story(lot))

    lot.balance.refresh_from_db()
    assert (last.plants, sum(last.costs)) == (lot.balance.on_hand, lot.balance.cost)


def test_an_undone_entry_stays_in_the_story_and_changes_no_figure():
    lot = potted_lot()
    undo(lose(lot, 9, on=date(2026, 5, 1)))

    steps = told(lot)

    undone = steps[-1]
    assert undone.is_undone
    assert undone.what == "Wrote off 9, lost to winter"
    assert (undone.before, undone.after) == (30, 30)


def test_what_an_earlier_lot_did_after_its_plants_left_is_not_told():
    lot = potted_lot()
    tray = Lot.objects.get(code="TXH-24A")
    lose(tray, 3, on=date(2025, 7, 1))

    steps = told(lot)

    assert not [step for step in steps if step.date == date(2025, 7, 1)]
    assert len(told(tray)) == 4, "the tray's own page tells it"


def test_plants_potted_up_elsewhere_before_are_told():
    tray = lot_holding(100, "T", size="tray")
    for quantity, code in ((30, "A"), (50, "B")):
        operations.pot_up(
            lot=tray,
            quantity=quantity,
            to_lot=code,
            container=container("#1"),
            on=DAY + timedelta(days=quantity),
            request_id=uuid4(),
        )

    steps = told(Lot.objects.get(code="B"))

    assert [step.what for step in steps[1:]] == [
        "Potted up 30 into #1, lot A",
        "Potted up 50 from lot T into #1",
    ]
    assert [step.after for step in steps] == [100, 70, 50]


def test_a_blend_is_told_with_both_lots_and_their_cost_mixed():
    one = lot_holding(10, "ONE", medium="10.00")
    other = lot_holding(30, "TWO", plant=one.plant, medium="60.00")
    operations.blend(lot=other, to_lot=one, on=DAY, request_id=uuid4())

    last = told(one)[-1]

    assert last.what == "Blended in all 30 of lot TWO"
    assert (last.after, last.unit_cost) == (40, Decimal("1.75"))


def test_each_lot_of_a_blend_tells_its_story_in_one_piece():
    one = lot_holding(10, "ONE")
    two = lot_holding(30, "TWO", plant=one.plant)
    for days, lot in enumerate((one, two, one, two), start=1):
        lose(lot, 1, on=DAY + timedelta(days=days))
    operations.blend(lot=two, to_lot=one, on=DAY + timedelta(days=9), request_id=uuid4())

    chapters = Story(one).chapters

    assert [(lot.code, len(happened)) for lot, happened in chapters] == [("TWO", 3), ("ONE", 4)]


def test_costs_of_one_day_join_the_step_they_belong_to():
    lot = lot_holding(10, "A", medium="10.00")
    for amount in ("3.00", "2.00"):
        operations.add_cost(lot=lot, costs={"labour": Decimal(amount)}, on=DAY, request_id=uuid4())

    (step,) = told(lot)

    assert step.unit_cost == Decimal("1.5")
    assert step.costs == "potting medium $10.00, labour $5.00"


def test_costs_that_follow_one_another_become_one_step():
    lot = lot_holding(10, "A")
    for days, (category, amount) in enumerate((("heat", "3.00"), ("heat", "2.00")), start=1):
        operations.add_cost(
            lot=lot,
            costs={category: Decimal(amount)},
            on=DAY + timedelta(days=days),
            request_id=uuid4(),
        )

    last = told(lot)[-1]

    assert last.what == "Added $5.00 for heat and utilities"
    assert (last.date, last.until, last.costs) == (DAY + timedelta(1), DAY + timedelta(2), "")


def test_sales_that_follow_one_another_become_one_step():
    lot = lot_holding(20, "A")
    for days in (1, 2, 3):
        sell_from(lot, days, on=DAY + timedelta(days=days))

    sold = told(lot)[-1]

    assert sold.what == "Sold 6 in 3 sales"
    assert (sold.date, sold.until, sold.after) == (DAY + timedelta(1), DAY + timedelta(3), 14)


def test_stages_add_up_to_the_cost_of_one_plant():
    story = Story(potted_lot())

    stages = stages_of(story)

    assert [stage.container.code for stage in stages] == ["tray", "#1"]
    assert stages[0].costs == {"cuttings": Decimal("0.625")}
    total = sum(sum(stage.costs.values()) for stage in stages)
    assert abs(total - last_standing(story).unit_cost) < Decimal("0.0001")


def test_the_life_has_a_stretch_for_each_lot_and_its_losses():
    first, second = life_of(Story(potted_lot()))

    assert [number for _, number in first.levels] == [100, 80, 40]
    assert [number for _, number in second.levels] == [40, 36, 30]
    assert [number for _, number in first.losses + second.losses] == [20, 4]


def test_where_the_plants_went_is_net_of_what_came_back():
    lot = potted_lot()

    went = where_plants_went(lot)

    assert went.lost == [("lost to winter", 4)]
    assert went.sold_in_all == 6
    assert went.sold[0][0].party == "a walk-in"


def test_a_lot_that_was_sold_out_says_what_its_last_plants_cost():
    lot = lot_holding(5, "A", medium="10.00")
    sell_from(lot, 5)

    assert last_standing(Story(lot)).unit_cost == Decimal(2)
    assert stages_of(Story(lot))[0].costs == {"medium": Decimal(2)}


def test_a_story_asks_as_often_for_many_entries_as_for_few(django_assert_num_queries):
    lot = potted_lot()
    with django_assert_num_queries(7):
        _ = Story(lot).happenings

    for days in range(8):
        lose(lot, 1, on=date(2026, 5, 1) + timedelta(days=days))
    with django_assert_num_queries(7):
        _ = Story(lot).happenings
