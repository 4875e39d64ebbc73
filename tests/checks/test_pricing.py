"""Check prices, margins and markups against published worked examples."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nursery.money import round_half_up
from sales.pricing import (
    ENDINGS,
    margin_percent,
    markup_percent,
    price_for_margin,
    price_with_markup,
    raised,
    round_to_ending,
)

COSTS = st.decimals("0.01", 10_000, places=6)
PERCENTS = st.decimals(-50, 99, places=3)


def test_a_margin_is_a_share_of_the_price():
    """EX-29: Penn State Extension, Power of Pricing, read: 1.25, not 1.20."""
    price = price_for_margin(Decimal("1.00"), 20)

    assert price == Fraction("1.25")
    assert price_with_markup(Decimal("1.00"), 20) == Fraction("1.20")


def test_the_margin_needed_sets_the_price():
    """EX-30: Northeast Beginning Farmers Project (Cornell), read: 7.14."""
    needed_percent = Fraction(3_000, 10_000) * 100
    price = price_for_margin(Decimal("5.00"), needed_percent)

    assert price == Fraction(50, 7), "not rounded before it is shown"
    assert round_half_up(price, 2) == Decimal("7.14")


def test_total_over_weight_is_737_and_not_the_738_in_print():
    """EX-31, a slip in the same page: 7,000 / 950 is 7.3684."""
    assert round_half_up(Fraction(3_000 + 2_000 + 2_000, 950), 2) == Decimal("7.37")


def test_half_on_top_of_cost_is_a_third_of_the_price():
    """EX-33: calculatenow.biz, gross margin, read: 0.20, 50 percent, 0.30, 33.33 percent."""
    price = price_with_markup(Decimal("0.20"), 50)

    assert price == Fraction("0.30")
    assert round_half_up(margin_percent(price, Decimal("0.20")), 2) == Decimal("33.33")
    assert markup_percent(price, Decimal("0.20")) == 50


def test_shrink_comes_before_the_price():
    """EX-27: nurserymag.com, exact: 1,000 understocks at 1.00, 35 percent fail."""
    cost = Fraction(1_000, 650)

    assert round_half_up(cost, 4) == Decimal("1.5385")
    assert round_half_up(markup_percent(cost, 1), 1) == Decimal("53.8")


def test_a_sale_below_cost_has_a_margin_below_zero():
    assert margin_percent(Decimal(4), Decimal(5)) == -25


def test_a_share_of_nothing_is_not_a_number():
    assert margin_percent(Decimal(0), Decimal(5)) is None
    assert markup_percent(Decimal(5), Decimal(0)) is None


@pytest.mark.parametrize("percent", [100, Decimal("100.5")])
def test_no_price_leaves_a_margin_of_100_percent(percent):
    with pytest.raises(ValueError, match="less than 100 percent"):
        price_for_margin(Decimal(1), percent)


@given(COSTS, PERCENTS)
def test_price_and_percent_go_there_and_back_exactly(cost, percent):
    assert margin_percent(price_for_margin(cost, percent), cost) == percent
    assert markup_percent(price_with_markup(cost, percent), cost) == percent


@pytest.mark.parametrize(
    "price, ending, nearest, next_up",
    [
        ("7.142857", "", "7.14", "7.15"),
        ("7.142857", ".95", "6.95", "7.95"),
        ("7.142857", ".99", "6.99", "7.99"),
        ("7.142857", ".00", "7.00", "8.00"),
        ("7.142857", ".00 or .50", "7.00", "7.50"),
        ("7.142857", ".00 .25 .50 .75", "7.25", "7.25"),
        ("7.50", ".00", "8.00", "8.00"),
        ("7.25", ".25", "7.25", "7.25"),
        ("0.10", ".00", "1.00", "1.00"),
        ("0.10", ".95", "0.95", "0.95"),
    ],
)
def test_a_price_ends_as_the_grower_likes(price, ending, nearest, next_up):
    """Common practice: whole, half and quarter prices, and those just below a whole one."""
    assert round_to_ending(Decimal(price), ending, 2) == Decimal(nearest)
    assert round_to_ending(Decimal(price), ending, 2, up=True) == Decimal(next_up)


def test_where_there_are_no_cents_hundreds_take_their_place():
    assert round_to_ending(Decimal(1234), ".95", 0) == 1195
    assert round_to_ending(Decimal(1234), ".00", 0, up=True) == 1300


def test_the_price_a_margin_needs_is_never_rounded_below_it():
    """EX-30 again: 7.142857… needed, and 7.14 would leave less than 30 percent."""
    needed = price_for_margin(Decimal("5.00"), 30)

    assert round_to_ending(needed, "", 2, up=True) == Decimal("7.15")


@given(COSTS, st.sampled_from(["", *ENDINGS]), st.integers(-50, 50))
def test_no_raise_lowers_and_no_cut_raises_a_price(price, ending, percent):
    standing = round_half_up(price, 2)
    after = raised(standing, percent, ending, 2)

    assert after >= standing if percent >= 0 else after <= standing
    assert after > 0 or not standing
