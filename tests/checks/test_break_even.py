"""Break-even against published worked examples.

Source of all figures: OpenStax, Principles of Accounting, Volume 2: Managerial Accounting,
chapter 3 (modules m68116, m68118, m68120), read there, but where a comment says otherwise.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from sales.break_even import BreakEven


def test_break_even_and_profit_of_a_product():
    # B1, m68116: 225 units or 22,500; 175 units lose 4,000, 300 earn 6,000.
    product = BreakEven(100, 20, 18_000)

    assert product.units_for() == 225
    assert product.sales_for() == 22_500
    assert product.profit_at(175) == -4_000
    assert product.profit_at(300) == 6_000


def test_a_target_profit():
    # B2, m68116: 16,000 on top takes 425 units or 42,500.
    product = BreakEven(100, 20, 18_000)

    assert product.units_for(16_000) == 425
    assert product.sales_for(16_000) == 42_500


@pytest.mark.parametrize(
    ("price", "unit_cost", "fixed", "units", "earned"),
    [
        ("3.75", "1.50", 2_475, 1_100, 900),
        ("4.25", "1.50", 2_475, 900, 1_650),
        ("3.75", "1.50", 2_700, 1_200, 675),
        ("3.75", "1.45", 2_875, 1_250, 575),
    ],
)
def test_what_a_change_of_price_or_cost_does(price, unit_cost, fixed, units, earned):
    # B5, B5b, B5d, B5e, m68118: 1,500 sold.
    product = BreakEven(Decimal(price), Decimal(unit_cost), fixed)

    assert product.units_for() == units
    assert product.profit_at(1_500) == earned


def test_the_margin_of_safety():
    # B8, m68120: 1,700 units or 153,000; at 2,500 a margin of 72,000, 32 percent; 10,000
    # more to cover takes 1,900 units or 171,000.
    product = BreakEven(90, 40, 85_000)

    assert product.units_for() == 1_700
    assert product.sales_for() == 153_000
    assert product.safety_at(2_500) == 72_000
    assert product.safety_at(2_500) / (2_500 * 90) == Fraction(32, 100)
    assert product.units_for(10_000) == 1_900
    assert product.sales_for(10_000) == 171_000


def test_a_ratio_cut_to_two_decimals_gives_the_wrong_sales():
    # Trap T4, m68120: with 55.55 percent the printed answers 171,017 and 153,015 come out.
    product = BreakEven(90, 40, 85_000)
    cut = Fraction(5555, 10_000)

    assert round(95_000 / cut) == 171_017
    assert 95_000 / product.margin_ratio == 171_000
    assert 85_000 / product.margin_ratio == 153_000


def test_one_unit_and_the_first_that_earns():
    # B10: 500, 300, 100,000: break-even 500, target 50,000 takes 750; 1 unit loses 99,800,
    # the 501st earns 200.
    product = BreakEven(500, 300, 100_000)

    assert product.units_for() == 500
    assert product.units_for(50_000) == 750
    assert product.profit_at(1) == -99_800
    assert product.profit_at(501) == 200


def test_the_ratio_of_what_is_left():
    # B11: 1,250, 850, 16,800: 42 units or 52,500, a ratio of 32 percent.
    product = BreakEven(1_250, 850, 16_800)

    assert product.units_for() == 42
    assert product.sales_for() == 52_500
    assert product.margin_ratio == Fraction(32, 100)


def test_part_of_a_plant_is_not_sold():
    """Common practice: the number to sell is rounded up, never to the nearest."""
    assert BreakEven(10, 7, 100).units_for() == Fraction(100, 3)
    assert BreakEven(10, 7, 100).plants_for() == 34
    assert BreakEven(10, 7, 99).plants_for() == 33


def test_a_plant_sold_below_its_cost_never_breaks_even():
    for unit_cost in (10, 11):
        product = BreakEven(10, unit_cost, 100)
        assert product.units_for() is None
        assert product.plants_for() is None
        assert product.sales_for() is None
        assert product.safety_at(5) is None
