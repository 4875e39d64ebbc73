"""One line after another: what `inventory.costing.replay` carries, on plain values."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.costing.categories import CATEGORIES
from inventory.costing.replay import COLUMN, EMPTY, Overdrawn, replay, share

DAY = date(2025, 4, 10)
LABOUR = COLUMN["labour"]


def moved(key, kind, source, target, quantity, of=None):
    return (DAY, key, 0, key, kind, source, target, quantity, of)


def spent(key, lot, amount, category="labour"):
    return (DAY, key, 1, key, category, lot, None, amount, None)


def run(*rows, lots=(1, 2), **more):
    held = dict.fromkeys(lots, EMPTY)
    return held, list(replay(rows, held, **more))


def test_every_category_has_its_column_after_the_plants():
    assert [COLUMN[category] for category in CATEGORIES] == list(range(1, 12))
    assert EMPTY == [0] * 12


def test_taking_a_part_takes_that_part_of_each_category():
    held, results = run(
        moved(1, "begun", None, 1, 4),
        spent(2, 1, 1_000),
        spent(3, 1, 10, "heat"),
        moved(4, "moved", 1, 2, 1),
    )

    carried = results[-1][1]
    assert (carried[0], carried[LABOUR], carried[COLUMN["heat"]]) == (1, 250, 3), "2.5 is 3"
    assert held[1][COLUMN["heat"]] == 7, "what is taken there is left out here"


def test_a_normal_loss_carries_nothing_and_an_abnormal_one_its_share():
    rows = moved(1, "begun", None, 1, 4), spent(2, 1, 900), moved(3, "lost", 1, None, 1)
    held, results = run(*rows, moved(4, "lost_abnormal", 1, None, 1))

    assert results[2][1][LABOUR] == 0
    assert results[3][1][LABOUR] == 300
    assert held[1] == [2] + [0] * 5 + [600] + [0] * 5


def test_the_last_plants_take_all_that_is_left_however_they_are_lost():
    held, results = run(
        moved(1, "begun", None, 1, 3), spent(2, 1, 100), moved(3, "lost", 1, None, 3)
    )

    assert results[-1][1][LABOUR] == 100
    assert held[1] == EMPTY


def test_a_cost_that_finds_no_plants_is_reported_and_stays_out():
    held, results = run(spent(1, 1, 500))

    assert results == [(1, None, 1)]
    assert held[1] == EMPTY


def test_a_return_brings_back_its_part_of_what_the_sale_carried():
    held, results = run(
        moved(1, "begun", None, 1, 4),
        spent(2, 1, 1_000),
        moved(3, "sold", 1, None, 4),
        moved(4, "returned", None, 1, 1, of=3),
        moved(5, "returned", None, 1, 3, of=3),
        watched={3},
    )

    assert [carried[LABOUR] for _, carried, _ in results[3:]] == [250, 750]
    assert held[1] == [4] + [0] * 5 + [1_000] + [0] * 5


def test_a_discarded_return_loses_again_just_what_came_back():
    held, results = run(
        moved(1, "begun", None, 1, 4),
        spent(2, 1, 1_000),
        moved(3, "sold", 1, None, 2),
        spent(4, 1, 700),
        moved(5, "returned", None, 1, 1, of=3),
        moved(6, "lost_abnormal", 1, None, 1, of=5),
        watched={3, 5},
    )

    assert results[-1][1][LABOUR] == 250, "the lot's own plants, now dearer, are left alone"
    assert held[1] == [2] + [0] * 5 + [1_200] + [0] * 5


def test_a_line_says_what_its_receiving_lot_held_just_after():
    _, results = run(moved(1, "begun", None, 1, 4), moved(2, "moved", 1, 2, 3))

    assert [after for *_, after in results] == [4, 3]


def test_taking_more_than_there_is_names_lot_day_and_numbers():
    with pytest.raises(Overdrawn) as refusal:
        run(moved(1, "begun", None, 1, 4), moved(2, "sold", 1, None, 5))

    error = refusal.value
    assert (error.lot, error.held, error.wanted) == (1, 4, 5)
    assert (error.on, error.operation) == (DAY, 2)


@given(
    st.integers(1, 10_000),
    st.lists(st.integers(-(10**15), 10**15), min_size=1, max_size=4),
    st.data(),
)
def test_a_share_is_the_nearest_whole_millionth(held, costs, data):
    quantity = data.draw(st.integers(0, held))
    taken = share([held, *costs], quantity)

    assert taken[0] == quantity
    for whole, part in zip(costs, taken[1:], strict=True):
        assert abs(2 * (part * held - whole * quantity)) <= held


@given(st.integers(1, 200), st.integers(0, 10**9), st.data())
def test_plants_taken_one_by_one_take_everything_in_the_end(plants, cost, data):
    rows, left = [moved(1, "begun", None, 1, plants), spent(2, 1, cost)], plants
    while left:
        taken = data.draw(st.integers(1, left))
        left -= taken
        rows.append(moved(len(rows) + 1, "sold", 1, None, taken))

    held, results = run(*rows)

    assert held[1] == EMPTY
    assert sum(carried[LABOUR] for _, carried, _ in results if carried) == cost
