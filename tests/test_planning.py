"""From a number wanted back to a number to stick, worked by hand."""

from datetime import date
from fractions import Fraction
from itertools import pairwise

import pytest

from inventory.planning.answer import Standing, Stock, Wanted, answer, rows_of
from inventory.planning.forecast import Ready, by_month
from inventory.planning.ground import overflows, weeks_of
from inventory.planning.needs import Part, Room, Takes, cost_of_one, money_of, needs_of
from inventory.planning.ways import GROWING, LINER, ROOTING, Pot, Way, usual_day

TRAY, ONE, THREE = 1, 2, 3
TODAY = date(2026, 11, 25)
TO_ONE = Way(TRAY, 70, 300, (Pot(ONE, (5, 1), 240),))
TO_THREE = Way(TRAY, 70, 300, (Pot(ONE, (5, 1), 240), Pot(THREE, (5, 15), 240)))
# Known shares: 80 % root, 95 % live through the winter, 90 % live in the pot.
SHARES = {ROOTING: 0.8, LINER: 0.95, GROWING: 0.9}


def of(wanted, ready_by=date(2028, 4, 1), way=TO_ONE, standing=(), sure=0.5):
    return answer(Wanted(wanted, ready_by, sure), way, SHARES, Stock(standing), TODAY)


def test_the_days_are_counted_back_from_the_day_wanted():
    """By hand: ready 1 April 2028 less 240 days is 5 August 2027, so potted 1 May 2027;
    300 days before that is 5 July 2026, and 70 days after that 13 September."""
    rooting, liner, pot = TO_ONE.back_from(date(2028, 4, 1))

    assert (rooting.begins, rooting.ends) == (date(2026, 7, 5), date(2026, 9, 13))
    assert (liner.ends, pot.ends) == (date(2027, 5, 1), date(2028, 4, 1))
    assert [row.begins.year for row in TO_THREE.back_from(date(2029, 4, 1))[2:]] == [2027, 2028]


def test_the_chain_loses_no_plant_unseen():
    """By hand: of 1,000 stuck 800 root, 760 are potted, 684 are ready; 316 are lost."""
    found = of(684, date(2029, 4, 1))
    rows = found.rows

    assert found.to_stick == pytest.approx(1_000, abs=2)
    assert all(before.through == after.begun for before, after in pairwise(rows))
    assert rows[0].begun == rows[-1].through + sum(row.lost for row in rows) == found.to_stick


def test_the_surer_the_more_are_stuck():
    four, nine, most = (of(120, date(2029, 4, 1), sure=sure).to_stick for sure in (0.8, 0.9, 0.95))

    assert 120 / 0.684 < four < nine < most


def test_what_stands_goes_first_and_is_taken_once():
    potted = Standing(GROWING, ONE, date(2026, 5, 2), 100, 0.9)
    stock = Stock([potted])
    first, second = (
        answer(Wanted(number, date(2027, 4, 1), 0.9), TO_ONE, SHARES, stock, TODAY)
        for number in (60, 60)
    )

    assert (first.missing, first.to_stick) == (0, 0)
    assert first.taken[0].plants + second.taken[0].plants == 100
    assert second.taken[0].sure + second.missing == 60
    assert not of(60, date(2029, 4, 1), standing=[potted]).taken, "sold by then"


def test_what_was_stuck_for_a_target_meets_it():
    stuck = of(120, date(2028, 10, 1), sure=0.9)
    on = stuck.rows[0].stretch.begins
    there = [Standing(ROOTING, TRAY, on, stuck.to_stick, SHARES[ROOTING])]
    wanted = Wanted(120, date(2028, 10, 1), 0.9)

    assert answer(wanted, TO_ONE, SHARES, Stock(there), on).missing == 0


def test_a_few_weeks_late_is_made_up_where_the_pot_has_days_to_spare():
    """By hand: stuck today, 25 November 2026, potted 21 September 2027, ready 18 May 2028."""
    late, in_time = of(50, date(2028, 4, 1)), of(50, date(2028, 6, 1))

    assert late.rows[0].stretch.begins < TODAY and late.to_buy == 55
    assert in_time.rows[0].stretch.begins == TODAY
    assert in_time.rows[-1].stretch.ends == date(2028, 5, 18)
    assert TO_ONE.next_ready(date(2028, 4, 1), TODAY) == date(2029, 4, 1)


def test_what_it_takes_is_carried_by_those_that_live():
    """By hand: 1,000 stuck at 0.02 trays of 2.00 and half a minute at 24.00 an hour are 240.00;
    760 potted in pots of 0.50 are 380.00; 684 ready bear 620.00, 0.906 each."""
    stick = Takes((Part("Trays", "pieces", Fraction(1, 50), Fraction(2)),), Fraction(1, 2), 24)
    pot = Takes((Part("Pots", "pieces", Fraction(1), Fraction(1, 2)),))
    needs = needs_of(rows_of_a_thousand(), lambda kind, _: stick if kind == "stick" else pot)

    assert [(need.what, need.money) for need in needs] == [
        ("Trays", 40),
        ("Work", 200),
        ("Pots", 380),
    ]
    assert money_of(needs) == 620
    assert cost_of_one(needs, 684) == Fraction(620, 684)


def rows_of_a_thousand():
    stretches = TO_ONE.back_from(date(2028, 4, 1))
    return list(rows_of(stretches, [SHARES[row.stage] for row in stretches], 1_000))


def test_a_place_overflows_in_the_weeks_that_take_more_than_there_is():
    rooms = [
        Room(ONE, date(2027, 3, 1), date(2027, 3, 22), Fraction(6)),
        Room(ONE, date(2027, 3, 8), date(2027, 3, 15), Fraction(5)),
    ]
    weeks = weeks_of(rooms, date(2027, 3, 3), 5)
    ((first, last, by),) = overflows(weeks, Fraction(10))

    assert [week.area for week in weeks] == [6, 11, 6, 0, 0]
    assert first == last == weeks[1] and (first.monday, by) == (date(2027, 3, 8), 1)


def test_what_becomes_ready_is_told_by_month_with_its_range():
    potted = Standing(GROWING, ONE, date(2026, 5, 2), 100, 1.0, ready_on=date(2026, 12, 9))
    rooted = Standing(LINER, TRAY, date(2026, 7, 5), 100, 0.95)
    coming = [("Ilex", row.ahead(TO_ONE, SHARES, TODAY)) for row in (potted, rooted)]
    found = by_month(coming, 24, TODAY)

    assert found["Ilex", date(2026, 12, 1)] == Ready(100, 100, 100)
    ready = found["Ilex", date(2027, 12, 1)]
    assert ready.low < ready.likely < ready.high and ready.likely == pytest.approx(85.5)


def test_the_usual_day_of_the_year_is_found_around_new_year():
    days = {date(2024, 11, 20): 50, date(2025, 12, 30): 50, date(2026, 2, 3): 60}

    assert usual_day(days) == (12, 30)
    assert usual_day({date(2025, 6, 12): 70, date(2025, 9, 6): 30}) == (6, 12)
