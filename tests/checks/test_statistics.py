"""Check intervals, tests, control limits and sizes of trials against published figures.

The numbers G1 to G13 and EX-36, EX-37 stand as their sources print them; READ means the
figure was seen in the source's own text. The oracles are statsmodels and scipy.
"""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from inventory.statistics.control import average, errors_from, limits, usual
from inventory.statistics.learning import Beta
from inventory.statistics.proportions import Tally, chance_alone, difference, wilson
from inventory.statistics.trials import cuttings_of_trial, each_to_tell, more_of_each

TALLIES = st.integers(1, 5_000).flatmap(
    lambda of: st.builds(Tally, st.integers(0, of), st.just(of))
)


def test_g1_g2_a_share_against_an_expected_one():
    """NIST/SEMATECH e-Handbook 7.2.4 and 7.2.4.1, read: 26 of 200 against .10 is z = 1.414,
    below 1.645; the one-sided lower bound is 0.09577, that of a two-sided 90 %."""
    defective = Tally(26, 200)

    assert errors_from(defective, 0.10) == pytest.approx(1.414, abs=5e-4)
    assert wilson(defective, 0.90) == pytest.approx((0.0957727, 0.1741042), abs=5e-8)


@pytest.mark.parametrize(
    ("came", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (0, 20, 0, 0.1611), (10, 10, 0.7225, 1), (23, 60, 0.2709, 0.5098)],
)
def test_g4_wilson_of_few_none_and_all(came, of, low, high):
    """Newcombe, Stat. Med. 17:857 (1998), table I; values from memory and computed again."""
    assert wilson(Tally(came, of)) == pytest.approx((low, high), abs=5e-5)


@settings(max_examples=40, deadline=None)
@given(TALLIES, TALLIES)
def test_the_intervals_are_those_of_statsmodels(one, other):
    wilson_of_theirs = proportion_confint(one.came, one.of, method="wilson")
    apart = confint_proportions_2indep(*one, *other, method="newcomb", compare="diff")

    assert wilson(one) == pytest.approx(wilson_of_theirs, abs=1e-9)
    assert difference(one, other) == pytest.approx(apart, abs=1e-9)


def test_g3_g5_the_exact_interval_is_made_of_quantiles_of_the_beta():
    """Clopper and Pearson's bounds are beta quantiles. NIST 7.2.4.1, read: 4 of 20 at 90 %
    (exact 0.0713539, 0.4010281). Six Sigma Demystified p. 213, read: 24 of 100 at 95 %
    (0.160225, 0.335735), one-sided lower 0.171348."""
    assert Beta(4, 17).quantile(0.05) == pytest.approx(0.0713539, abs=5e-8)
    assert Beta(5, 16).quantile(0.95) == pytest.approx(0.4010281, abs=5e-8)
    assert Beta(24, 77).quantile(0.025) == pytest.approx(0.160225, abs=5e-7)
    assert Beta(25, 76).quantile(0.975) == pytest.approx(0.335735, abs=5e-7)
    assert Beta(24, 77).quantile(0.05) == pytest.approx(0.171348, abs=5e-7)


def test_g10_fisher_and_the_cups_of_tea():
    """R's output, read: two-sided .4857. All four right, 1/70, twice for both sides."""
    assert chance_alone(Tally(3, 4), Tally(1, 4)) == pytest.approx(0.4857, abs=5e-5)
    assert chance_alone(Tally(4, 4), Tally(0, 4)) == pytest.approx(2 / 70)


def test_two_rates_of_a_hormone():
    """The case of the brief: 72 and 81 of 100 are 9 apart, between -3 and 21."""
    weak, strong = Tally(72, 100), Tally(81, 100)

    assert difference(strong, weak) == pytest.approx((-0.027, 0.205), abs=1e-3)
    assert chance_alone(strong, weak) == pytest.approx(0.1814, abs=1e-3)
    assert more_of_each(weak, strong) == each_to_tell(0.72, 0.81) - 100
    assert more_of_each(weak, weak) is None


@pytest.mark.parametrize(("one", "other"), [(0.72, 0.81), (0.5, 0.6)])
def test_a_trial_of_that_size_tells_four_times_in_five(one, other):
    """Judged by scipy: the chance that a pooled z test of two such binomials is beyond 1.96."""
    each = each_to_tell(one, other)
    counts = range(each + 1)
    first, second = stats.binom.pmf(counts, each, one), stats.binom.pmf(counts, each, other)

    found = 0.0
    for came, chance in enumerate(first):
        pooled = [(came + more) / (2 * each) for more in counts]
        tells = [
            abs(more - came) > 1.959964 * (2 * each * share * (1 - share)) ** 0.5
            for more, share in zip(counts, pooled, strict=True)
        ]
        found += chance * second[tells].sum()
    assert found == pytest.approx(0.80, abs=0.02)


def test_ex_36_how_large_published_trials_were():
    """EX-36, totals read: Leyland cypress, 3 reps × 30 × (4 rates + control) × 2 times = 900
    and with 5 rates 1,080; Thuja 'Columna', 5 substrates × 90 = 450."""
    assert cuttings_of_trial(treatments=5, each=30, trays=3, times=2) == 900
    assert cuttings_of_trial(treatments=6, each=30, trays=3, times=2) == 1_080
    assert cuttings_of_trial(treatments=5, each=90) == 450


def test_the_control_chart_of_wafers():
    """NIST/SEMATECH e-Handbook 6.3.3.2.1, from memory: 347 of 30 × 50 chips defective, average
    .2313, limits .052 and .410; sample 15, 22 of 50, and sample 23, 24 of 50, are beyond."""
    defective = "12 15 8 10 4 7 16 9 14 10 5 6 17 12 22 8 10 5 13 11 20 18 24 15 9 12 7 13 9 6"
    wafers = [Tally(int(number), 50) for number in defective.split()]
    share = average(wafers)
    within = limits(share, 50)

    assert share == pytest.approx(0.2313, abs=5e-5)
    assert within == pytest.approx((0.0524, 0.4102), abs=1e-4)
    beyond = [place for place, wafer in enumerate(wafers, 1) if not within.has(wafer.share)]
    assert beyond == [15, 23]


def test_a_batch_that_had_a_cause_does_not_move_what_is_usual():
    """By hand: with 60 of 100 it is .84 of all, and .60 lies below .73; without it .90."""
    batches = [Tally(rooted, 100) for rooted in (90, 92, 88, 60, 90)]

    assert usual(batches) == pytest.approx(0.9)
    assert usual([Tally(10, 100), Tally(90, 100)]) == 0.5, "no half is more usual"


def test_limits_widen_for_a_small_batch_and_end_at_all():
    widths = [limits(0.9, of).high - limits(0.9, of).low for of in (1_000, 100, 10)]

    assert all(narrow < wide for narrow, wide in pairwise(widths))
    assert limits(0.9, 10).high == 1


def test_g13_a_default_is_overruled_by_what_was_counted():
    """G13 b, arXiv 2604.09660, read: 38,495 families of 8, boys counted, p is about .48438."""
    families = (264, 1655, 4948, 8498, 10263, 7603, 3951, 1152, 161)
    boys = sum(number * many for number, many in enumerate(families))
    known = Beta.thought(0.9, 20).after(Tally(boys, 8 * sum(families)))

    assert known.mean == pytest.approx(0.48438, abs=5e-5)
    assert Fraction(boys, 8 * sum(families)) == pytest.approx(0.48438, abs=5e-6)
    # By hand: 8 % with the weight of 20 is 1.6 of 20; 6 of 80 lost besides are 7.6 of 100.
    assert Beta.thought(0.08, 20).after(Tally(6, 80)).mean == pytest.approx(0.076)
    assert known.interval() == pytest.approx(stats.beta(known.came, known.lost).interval(0.95))
