"""Check how a loss is split, and where the ledger's rule differs from process costing.

The textbook rule values good output and abnormal loss at (cost - scrap value of normal loss)
/ (input - normal loss), and books an abnormal gain where less is lost than expected.  Plants
that die have no scrap value, and the ledger books no gain (IAS 2 para 16 asks only that
abnormal amounts be left out of cost): where fewer die, the survivors cost less.
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.costing.loss_policy import LossSplit, allowance, split_loss

PERCENTS = st.decimals(0, 100, places=3)


def cost_per_plant(cost, started, split):
    """Return the cost that a plant carries once the normal loss is spread."""
    return Fraction(cost) / (started - split.normal)


def test_a4_a_loss_just_as_expected_is_all_normal():
    """A4: KAP-F2 section 5.1, read. 20,700 over 900 gives 23.00; good output 20,700."""
    split = split_loss(lost=100, started=1_000, lost_before=0, expected_percent=Decimal(10))

    assert split == LossSplit(normal=100, abnormal=0)
    assert cost_per_plant(20_700, 1_000, split) == 23


def test_a5_a_smaller_loss_books_no_gain_and_makes_the_survivors_cheaper():
    """A5: KAP-F2, read, prints 23.00 and a gain of 50 kg = 1,150; the ledger books no gain, so
    950 survivors carry 20,700."""
    split = split_loss(lost=50, started=1_000, lost_before=0, expected_percent=Decimal(10))

    assert split == LossSplit(normal=50, abnormal=0)
    assert cost_per_plant(20_700, 1_000, split) == Fraction(20_700, 950)
    assert Fraction(20_700, 950) * 950 == 23 * 950 - 1_150, "the gain stays in the survivors' cost"


def test_a6_and_a8_have_a_scrap_value_that_dead_plants_have_not():
    """A6, A8: KAP-F2, read, print 22.80 after scrap of 180; without it 23.00, and for A8 the
    gain is not booked either."""
    a6 = split_loss(lost=100, started=1_000, lost_before=0, expected_percent=Decimal(10))

    assert cost_per_plant(20_700 - 180, 1_000, a6) == Fraction("22.80")
    assert cost_per_plant(20_700, 1_000, a6) == 23
    a8 = split_loss(lost=50, started=1_000, lost_before=0, expected_percent=Decimal(10))
    assert a8.abnormal == 0


def test_a11_what_goes_beyond_the_allowance_is_abnormal():
    """A11: examw.com ACCA F2 notes section 8.2 (S3), read. Unit 5.00, good 4,300, abnormal 200."""
    split = split_loss(lost=140, started=1_000, lost_before=0, expected_percent=Decimal(10))
    unit = cost_per_plant(4_500, 1_000, split)

    assert split == LossSplit(normal=100, abnormal=40)
    assert (unit, unit * 860, unit * split.abnormal) == (5, 4_300, 200)


def test_a12_splits_alike_and_differs_only_by_scrap():
    """A12: board-exam solution, cdquestions.com (S3), read. With scrap of 250 the unit is 15.00,
    abnormal 750, good 12,750; without scrap the same plants cost 13,750 / 900."""
    split = split_loss(lost=150, started=1_000, lost_before=0, expected_percent=Decimal(10))
    unit = cost_per_plant(13_750 - 250, 1_000, split)

    assert split == LossSplit(normal=100, abnormal=50)
    assert (unit, unit * 50, unit * 850) == (15, 750, 12_750)
    assert cost_per_plant(13_750, 1_000, split) == Fraction(13_750, 900)


def test_a14_takes_its_percent_from_good_units_the_ledger_from_those_that_started():
    """A14: Horngren, Datar, Rajan, Cost Accounting 14e, ch. 18 (S2), read: 10 percent of 7,000
    good gives 700 normal and 300 abnormal of 1,000. The ledger expects a percent of the plants
    that start, known before the good are counted: 8.75 percent of 8,000 is the same 700."""
    split = split_loss(lost=1_000, started=8_000, lost_before=0, expected_percent=Decimal("8.75"))

    assert split == LossSplit(normal=700, abnormal=300)
    of_started = split_loss(lost=1_000, started=8_000, lost_before=0, expected_percent=Decimal(10))
    assert of_started == LossSplit(normal=800, abnormal=200)


def test_a16_splits_alike_once_its_percent_is_put_on_the_plants_that_started():
    """A16: homeworkclinic.com topic 871009 (S3), read: 6,800 spoiled, normal 5 percent of 72,900
    good = 3,645, abnormal 3,155. Here the percent is of the 79,700 that reached inspection."""
    percent = Decimal("4.573401")
    split = split_loss(lost=6_800, started=79_700, lost_before=0, expected_percent=percent)

    assert split == LossSplit(normal=3_645, abnormal=3_155)


def test_a18_two_stages_have_two_allowances_and_the_second_books_no_gain():
    """A18: askfilo.com (S3), inputs read, outputs computed. Stage one 5 percent of 10,000,
    1,500 lost: 3.2105263 after scrap of 500, 3.263158 without. Stage two 10 percent of 8,500,
    700 lost: the source books a gain of 150, the ledger none."""
    first = split_loss(lost=1_500, started=10_000, lost_before=0, expected_percent=Decimal(5))
    second = split_loss(lost=700, started=8_500, lost_before=0, expected_percent=Decimal(10))

    assert first == LossSplit(normal=500, abnormal=1_000)
    assert cost_per_plant(31_000 - 500, 10_000, first) == Fraction(61, 19)
    assert float(Fraction(61, 19)) == pytest.approx(3.2105263, abs=5e-8)
    assert second == LossSplit(normal=700, abnormal=0)


def test_shrink_is_divided_by_the_survivors_not_added_on():
    """EX-27: trade column, nurserymag.com, prints 50 percent, rounded; exact 1.5385 and 53.8."""
    split = split_loss(lost=350, started=1_000, lost_before=0, expected_percent=Decimal(35))
    cost = cost_per_plant(1_000, 1_000, split)

    assert cost == Fraction(1_000, 650)
    assert round(float(cost), 4) == 1.5385
    assert cost != Fraction("1.35"), "the usual mistake"


def test_the_allowance_is_used_up_by_one_walk_after_another():
    def lose(lost, lost_before):
        return split_loss(lost, 200, lost_before, Decimal("7.9"))

    assert allowance(200, Decimal("7.9")) == 15, "15.8 plants, rounded down"
    assert lose(10, 0) == (10, 0)
    assert lose(10, 10) == (5, 5)
    assert lose(10, 15) == (0, 10)
    assert lose(10, 40) == (0, 10), "more taken than the allowance leaves none, not less"


def test_without_an_expectation_the_survivors_carry_all_of_it():
    assert split_loss(30, 100, 60, None) == LossSplit(normal=30, abnormal=0)


@pytest.mark.parametrize("numbers", [(-1, 10, 0), (1, -10, 0), (1, 10, -1)])
def test_numbers_below_zero_are_refused(numbers):
    with pytest.raises(ValueError, match="less than zero"):
        split_loss(*numbers, Decimal(10))


@pytest.mark.parametrize("percent", [Decimal("-0.1"), Decimal("100.1")])
def test_a_percent_outside_0_to_100_is_refused(percent):
    with pytest.raises(ValueError, match="between 0 and 100"):
        split_loss(1, 10, 0, percent)


@given(st.lists(st.integers(0, 500), max_size=12), st.integers(0, 5_000), PERCENTS)
def test_the_order_and_size_of_the_walks_do_not_matter(walks, started, percent):
    normal = abnormal = 0
    for lost in walks:
        split = split_loss(lost, started, normal, percent)
        assert sum(split) == lost
        normal, abnormal = normal + split.normal, abnormal + split.abnormal

    assert (normal, abnormal) == split_loss(sum(walks), started, 0, percent)
    assert normal <= allowance(started, percent)
