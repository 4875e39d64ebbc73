"""Supplies, medium, feed and spacing against published figures."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest

from inventory.costing.spacing import DIAGONAL, SQUARE, area_per_plant, plants_on
from inventory.costing.supplies import cost_of_use, loose_volume, packs_to_buy
from inventory.models import Supply
from inventory.operations import add_cost
from inventory.operations.spending import Use
from inventory.operations.supplies import buy
from inventory.queries.supplies import on_hand_of
from nursery.money import from_millionths, round_half_up
from tests.factories import lot_holding

MILLION = 1_000_000
CUBIC_INCHES_IN_CUBIC_YARD = 46_656  # 36 inches cubed, exactly
LITRES_IN_CUBIC_YARD = Decimal("764.554857984")  # by the inch of 25.4 mm, exactly
GRAMS_IN_POUND = Decimal("453.59237")  # exactly
SQUARE_FEET_TIMES_INCHES_IN_CUBIC_YARD = 324  # 27 cubic feet of 12 inches


# Derived from the volume ranges that a page quotes from ANSI Z60.1-2004.
@pytest.mark.parametrize(
    ("cubic_inches", "pots"),
    [(152, 306), (251, 185), (320, 145), (474, 98), (628, 74), (742, 62), (785, 59), (1242, 37)],
)
def test_ex_5_pots_that_a_cubic_yard_fills(cubic_inches, pots):
    yard = Decimal(CUBIC_INCHES_IN_CUBIC_YARD)
    full = loose_volume(Decimal(cubic_inches * pots), Decimal(0))
    one_more = loose_volume(Decimal(cubic_inches * (pots + 1)), Decimal(0))

    # One yard covers them, and another pot asks for a second yard.
    assert packs_to_buy(full, Decimal(0), yard) == 1
    assert packs_to_buy(one_more, Decimal(0), yard) == 2


def test_ex_7_feed_for_six_months_in_a_cubic_yard():
    """Fertilizer math for nursery containers, Nursery Management (nurserymag.com)."""
    nitrogen = Decimal("0.33") * 6

    assert nitrogen == Decimal("1.98")
    assert round_half_up(loose_volume(nitrogen, Decimal(81)), 2) == Decimal("10.42")


def test_ex_9_the_same_feed_for_one_number_one_pot():
    """Derived from EX-7 and the 2.8 litres of a #1 in HortScience 59(10):1477 (2024)."""
    in_a_yard = loose_volume(Decimal("1.98"), Decimal(81)) * GRAMS_IN_POUND
    pots = LITRES_IN_CUBIC_YARD / Decimal("2.8")

    assert round_half_up(pots, 2) == Decimal("273.06")
    assert round_half_up(in_a_yard / pots, 1) == Decimal("17.3")


# First Men's Garden Club of Dallas, conversion sheet, as printed.
@pytest.mark.parametrize(("square_feet", "inches", "yards"), [(400, 3, "3.70"), (100, 2, "0.62")])
def test_ex_11_cubic_yards_that_cover_a_bed(square_feet, inches, yards):
    exact = Decimal(square_feet * inches) / SQUARE_FEET_TIMES_INCHES_IN_CUBIC_YARD

    assert round_half_up(exact, 2) == Decimal(yards)
    assert packs_to_buy(exact, Decimal(0), Decimal(1)) == int(exact) + 1, "whole yards are sold"


def test_ex_27_what_is_lost_on_the_way_is_made_up_by_division():
    """1,000 understocks at 1.00 of which 35 % fail: nurserymag.com prints 50 %, rounded.

    Exactly 1,000 / 650 = 1.5385. Adding 35 % gives 1.35, the usual mistake.
    """
    assert round_half_up(loose_volume(Decimal(1), Decimal(35)), 4) == Decimal("1.5385")
    assert loose_volume(Decimal(1), Decimal(35)) > Decimal("1.35")
    assert loose_volume(Decimal("2.8"), Decimal(20)) == Decimal("3.5")


def test_nothing_settles_by_all_of_its_volume():
    for percent in (Decimal(100), Decimal(-1)):
        with pytest.raises(ValueError, match="less than 100"):
            loose_volume(Decimal(1), percent)


# OpenStax, Principles of Accounting Vol. 1, 10.3 (m67891), perpetual weighted average:
# opening 150 at 21; 120 out; 225 in at 27; 180 out; 210 in at 33.
STEPS = [
    ("in", 150, 3150, "21.000000"),
    ("out", 120, None, "21.000000"),
    ("in", 225, 6075, "26.294118"),
    ("out", 180, None, "26.294118"),
    ("in", 210, 6930, "31.235294"),
]


def test_a20_perpetual_weighted_average_in_whole_millionths():
    quantity, value, last = 0, 0, Fraction(0)
    for way, units, paid, average in STEPS:
        if way == "in":
            quantity, value, last = quantity + units, value + paid * MILLION, Fraction(paid, units)
        else:
            value -= cost_of_use(units * MILLION, quantity * MILLION, value, last)
            quantity -= units
        assert round_half_up(from_millionths(value) / quantity, 6) == Decimal(average)
    assert quantity == 285


@pytest.mark.django_db
def test_a20_in_the_ledger_where_operations_use_the_supply():
    supply = Supply.objects.create(name="Pots")
    lot = lot_holding(10)
    for way, units, paid, average in STEPS:
        day = {"on": date(2025, 5, 1), "request_id": uuid4()}
        if way == "in":
            buy(supply=supply, quantity=Decimal(units), amount=Decimal(paid), **day)
        else:
            add_cost(lot=lot, uses=[Use(supply, Decimal(units))], **day)
        assert round_half_up(on_hand_of(supply).price, 6) == Decimal(average)

    there = on_hand_of(supply)
    lot.balance.refresh_from_db()
    # Nothing between the purchases and the plants is lost: 3,150 + 6,075 + 6,930.
    assert there.value + lot.balance.cost == 16155


def test_t1_a_unit_cost_rounded_first_gives_another_figure():
    """The same section prints 8,283 sold and 7,872 left: its average was rounded to 27.62.

    Exactly, 16,155 over 585 units leave 8,284.62 and 7,870.38.
    """
    used = cost_of_use(300 * MILLION, 585 * MILLION, 16155 * MILLION, Fraction(0))
    left = 16155 * MILLION - used

    assert round_half_up(from_millionths(used), 2) == Decimal("8284.62")
    assert round_half_up(from_millionths(left), 2) == Decimal("7870.38")
    assert round_half_up(from_millionths(left), 0) != 7872
    assert from_millionths(used) != Decimal("27.62") * 300


# GPN, Grower 101: Calculations Part IV: Spacing Containers (gpnmag.com).
@pytest.mark.parametrize(("pattern", "pots"), [(SQUARE, 400), (DIAGONAL, 462)])
def test_ex_13_pots_on_a_hundred_square_feet(pattern, pots):
    assert plants_on(100 * 144, 6, pattern) == pots


def test_ex_14_ten_inches_square():
    assert area_per_plant(10) == 100
    assert plants_on(100 * 144, 10) == 144


@pytest.mark.parametrize(("inches", "plants"), [(8, 2250), (18, 444)])
def test_ex_16_plants_on_a_bed_of_a_thousand_square_feet(inches, plants):
    """Derived: 144,000 square inches over the square of the spacing."""
    assert plants_on(1000 * 144, inches) == plants
