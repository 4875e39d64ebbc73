"""Check how many come through against published figures and scipy's own distributions."""

import numpy as np
import pytest
from scipy import stats

from inventory.statistics.learning import Beta
from inventory.statistics.likeness import likeness, of_a_new_lot
from inventory.statistics.proportions import Tally
from inventory.statistics.spread import numbers_through, to_start


def test_g12_the_number_reached_with_a_published_chance():
    """G12 a, read, low authority: of n = 145 with p = .74, P(X ≥ 104) = .766279."""
    assert numbers_through(145, 0.74, (0.766279 - 1e-6, 0.766279 + 1e-4)) == (104, 103)


def test_g13_a_share_of_which_nothing_is_known_makes_every_number_alike():
    """G13 a, read (SciPy documentation): with a = b = 1 each of 0 to n has the chance 1/(n + 1)."""
    assert numbers_through(9, Beta(1, 1), (0.9 - 1e-9, 0.5 - 1e-9, 0.1 - 1e-9)) == (1, 5, 9)


@pytest.mark.parametrize("stage", [0.58, 0.8, 1.0, Beta(18, 2), Beta(160, 40)])
def test_the_ends_of_a_range_are_those_of_scipy(stage):
    law = stats.betabinom(625, stage.came, stage.lost) if isinstance(stage, Beta) else None
    law = law or stats.binom(625, stage)
    low, middle, high = numbers_through(625, stage, (0.9, 0.5, 0.1))

    for number, chance in ((low, 0.9), (middle, 0.5), (high, 0.1)):
        assert law.sf(number - 1) >= chance - 1e-12
        assert number == 625 or law.sf(number) < chance


def test_what_is_stuck_for_a_number_surely_gives_that_number():
    """The two questions are each other's inverse, for EX-37's 500 pottable plants too."""
    for stage in (0.8, 0.58, Beta(40, 10)):
        stuck = to_start(500, (stage,), 0.9)
        assert numbers_through(stuck, stage, (0.9,)) == (500,)
        assert numbers_through(stuck - 1, stage, (0.9,)) == (499,)


def test_how_alike_lots_fare_is_found_again():
    """Common practice: counts drawn with a known correlation give it back, nearly."""
    luck = np.random.default_rng(11)
    for alike, weight in ((0.02, 49), (0.1, 9)):
        drawn = stats.betabinom(80, 0.8 * weight, 0.2 * weight).rvs((60, 6), random_state=luck)
        groups = [[Tally(int(came), 80) for came in row] for row in drawn]
        assert likeness(groups).alike == pytest.approx(alike, rel=0.2)
        assert likeness(groups).compared == 300
    assert likeness([[Tally(8, 10)]]).from_before(0.06, 12) == 0.06, "one lot tells nothing"
    assert of_a_new_lot(Beta(8_000, 2_000), 0.02).weight == pytest.approx(49, rel=0.01)
