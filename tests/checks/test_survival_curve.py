"""Check survival against published tables and lifelines."""

from fractions import Fraction
from math import exp, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter

from inventory.statistics.proportions import Tally, wilson
from inventory.statistics.survival import Change, alive_at, survival


def watched(lost, left, many=1):
    """Return the changes of plants that all came at age 0."""
    number = many * (len(lost) + len(left))
    gone = [Change(age, lost=many) for age in lost] + [Change(age, left=many) for age in left]
    return [Change(0, came=number), *gone]


def losses_of(changes):
    return [point for point in survival(changes) if point.lost]


def test_g6_twenty_units_of_nist():
    """NIST/SEMATECH e-Handbook 8.2.1.5, read: failures at 10, 32, 56, 98, 122, 181, taken out
    at 50, 100, 125, 150 and ten at the end, 200."""
    points = losses_of(watched([10, 32, 56, 98, 122, 181], [50, 100, 125, 150, *[200] * 10]))

    assert [point.watched for point in points] == [20, 19, 17, 16, 14, 11]
    exact = ["19/20", "9/10", "72/85", "27/34", "351/476", "1755/2618"]
    assert [point.alive for point in points] == pytest.approx([float(Fraction(s)) for s in exact])


def test_g7_the_patients_of_freireich():
    """Freireich et al., Blood 21:699 (1963), as R's survfit prints it, read twice: number at
    risk, survival, standard error, and the interval of the logarithm, which the error gives."""
    lost = [6, 6, 6, 7, 10, 13, 16, 22, 23]
    left = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
    printed = {
        6: (21, 0.857, 0.0764, 0.720, 1),
        7: (17, 0.807, 0.0869, 0.653, 0.996),
        10: (15, 0.753, 0.0963, 0.586, 0.968),
        13: (12, 0.690, 0.1068, 0.510, 0.935),
        16: (11, 0.627, 0.1141, 0.439, 0.896),
        22: (7, 0.538, 0.1282, 0.337, 0.858),
        23: (6, 0.448, 0.1346, 0.249, 0.807),
    }
    points = losses_of(watched(lost, left))
    for age, number, _, alive, error, _ in points:
        assert (number, alive, error) == pytest.approx(printed[age][:3], abs=5.1e-4)
        bounds = [min(1, exp(log(alive) + way * 1.959964 * error / alive)) for way in (-1, 1)]
        assert bounds == pytest.approx(printed[age][3:], abs=5.1e-4)
    assert [point.age for point in points] == list(printed)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 40), st.booleans()), min_size=2, max_size=60),
    st.integers(1, 9),
)
def test_the_curve_and_its_interval_are_those_of_lifelines(lives, many):
    """Greenwood's error and the log(-log) interval, plants counted by weights of `many`."""
    lost = [age for age, died in lives if died]
    left = [age for age, died in lives if not died]
    ages, died = zip(*lives, strict=True)
    theirs = KaplanMeierFitter().fit(ages, died, weights=[many] * len(ages))

    for point in survival(watched(lost, left, many)):
        assert point.alive == pytest.approx(theirs.predict(point.age))
        if 0 < point.alive < 1:
            bounds = theirs.confidence_interval_.loc[point.age]
            assert point.interval == pytest.approx(tuple(bounds), abs=1e-9)


def test_plants_count_from_the_age_they_came_at():
    """By hand: 10 from the beginning, 2 lost at 5; 12 more come at 8; 4 of 20 lost at 9."""
    changes = [Change(0, came=10), Change(5, lost=2), Change(8, came=12), Change(9, lost=4)]

    point = survival([*changes, Change(30, left=16)])[-1]

    assert point.alive == pytest.approx(0.8 * 0.8)


def test_an_age_nobody_was_watched_to_has_no_answer():
    points = survival(watched([10], [100] * 49))

    assert alive_at(points, 9).alive == 1
    assert alive_at(points, 60).alive == pytest.approx(0.98)
    assert alive_at(points, 101) is None
    assert alive_at([], 3) is None


def test_where_all_live_the_interval_is_that_of_the_plants_watched():
    assert survival(watched([], [30] * 20))[-1].interval == wilson(Tally(20, 20))
    assert survival(watched([30] * 20, []))[-1].interval == wilson(Tally(0, 20))


def test_more_than_there_are_cannot_go():
    with pytest.raises(ValueError, match="3 of 2 plants went at age 4"):
        survival([Change(0, came=2), Change(4, lost=3)])
