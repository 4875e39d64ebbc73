"""Check how many to start against published figures, and a chain against exact convolution."""

import numpy as np
import pytest
from scipy import stats

from inventory.statistics.learning import Beta
from inventory.statistics.starting import (
    OutOfReach,
    chance_of,
    number_on_average,
    number_to_start,
    through_all,
)

# G12 d, computed: the smallest n with P(X ≥ k) ≥ .95, for shares of .25, .50, .80 and .90.
FEWEST = {
    1: (11, 5, 2, 2),
    2: (18, 8, 4, 3),
    3: (23, 11, 6, 5),
    5: (34, 16, 9, 7),
    10: (60, 28, 16, 13),
    50: (242, 117, 69, 60),
}
# G12 c, ISPM 31 (FAO/IPPC 2008), from memory and reproduced: n that finds one with 95 and 99 %.
ISPM_31 = {
    0.10: (29, 44),
    0.05: (59, 90),
    0.02: (149, 228),
    0.01: (299, 459),
    0.005: (598, 919),
    0.001: (2_995, 4_603),
}


@pytest.mark.parametrize("wanted", FEWEST)
def test_g12_the_fewest_that_give_so_many(wanted):
    found = tuple(number_to_start(wanted, [share], 0.95) for share in (0.25, 0.50, 0.80, 0.90))

    assert found == FEWEST[wanted]


@pytest.mark.parametrize("share", ISPM_31)
def test_g12_how_many_to_look_at_to_find_one(share):
    assert tuple(number_to_start(1, [share], sure) for sure in (0.95, 0.99)) == ISPM_31[share]


def test_g12_chances_of_a_binomial():
    """Read, low authority: n 145, p .74, P(X ≥ 104) = .766279; n 9, p .75, P(X ≤ 7) = .69966."""
    assert chance_of(104, 145, [0.74]) == pytest.approx(0.766279, abs=5e-7)
    assert 1 - chance_of(8, 9, [0.75]) == pytest.approx(0.69966, abs=5e-6)


def test_ex_37_the_usual_division_is_enough_only_half_the_time():
    """EX-37, from HortScience 32(2):315 (1997): 500 pottable need 625 tips at 80 % or 863
    segments at 58 %. With an assurance of .95, 100 at .8 need 135 and not 125 (computed)."""
    assert number_on_average(500, 0.80) == 625
    assert number_on_average(500, 0.58) == 863
    assert chance_of(500, 625, [0.80]) == pytest.approx(0.5, abs=0.03)
    assert number_to_start(100, [0.80], 0.95) == 135
    assert number_to_start(0, [0.80], 0.95) == 0


def test_g13_knowing_nothing_any_number_is_as_likely():
    """SciPy's documentation, read: a = b = 1 is uniform, 1/(n + 1) each."""
    for wanted in range(12):
        assert chance_of(wanted, 11, [Beta(1, 1)]) == pytest.approx((12 - wanted) / 12)


@pytest.mark.parametrize(("came", "lost"), [(0.8, 0.2), (8, 2), (81, 19), (4_000, 1_000)])
def test_the_beta_binomial_is_that_of_scipy(came, lost):
    for wanted, started in ((1, 3), (40, 60), (450, 600)):
        theirs = stats.betabinom.sf(wanted - 1, started, came, lost)
        assert chance_of(wanted, started, [Beta(came, lost)]) == pytest.approx(theirs, abs=1e-9)


CHAINS = {
    "young records": [Beta(16, 4), Beta(19, 1), Beta(18, 2)],
    "long records": [Beta(320, 80), Beta(190, 10), Beta(900, 60)],
    "a known share between": [Beta(40, 10), 0.95, Beta(45, 5)],
    "a poor rooter": [Beta(6, 14), Beta(30, 3)],
}


@pytest.mark.parametrize("stages", CHAINS.values(), ids=CHAINS)
def test_a_chain_is_as_good_as_the_exact_convolution(stages):
    """The survivors of each stage are drawn from those of the one before, exactly."""
    for started in (40, 160):
        exact = convolved(started, stages)
        for wanted in range(1, started, 7):
            assert chance_of(wanted, started, stages) == pytest.approx(
                exact[wanted:].sum(), abs=0.003
            )


def convolved(started, stages):
    survivors = np.zeros(started + 1)
    survivors[started] = 1
    counts = np.arange(started + 1)
    for stage in stages:
        after = np.zeros(started + 1)
        for number, chance in enumerate(survivors):
            known = isinstance(stage, Beta)
            law = stats.betabinom if known else stats.binom
            shape = (stage.came, stage.lost) if known else (stage,)
            after += chance * law.pmf(counts, number, *shape) if chance > 1e-12 else 0
        survivors = after
    return survivors


def test_the_answer_is_the_fewest_and_grows_with_doubt_and_assurance():
    record = [Beta(160, 40), 0.95]
    started = number_to_start(200, record, 0.9)

    assert chance_of(200, started, record) >= 0.9 > chance_of(200, started - 1, record)
    assert number_to_start(200, [0.8, 0.95], 0.9) < started < number_to_start(200, record, 0.99)
    assert number_to_start(200, [Beta(16, 4), 0.95], 0.9) > started


def test_known_shares_only_are_multiplied():
    assert through_all([0.8, 0.5]) == pytest.approx(0.4)
    assert number_to_start(30, [0.8, 0.5], 0.9) == number_to_start(30, [0.4], 0.9)


@pytest.mark.parametrize("stages", [[0.0], [Beta(0.01, 5)], [1e-7]])
def test_what_no_number_gives_is_refused(stages):
    with pytest.raises(OutOfReach, match="More than 1,000,000"):
        number_to_start(10, stages, 0.99)
