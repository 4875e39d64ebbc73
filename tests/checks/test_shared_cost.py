"""Check shared cost against published cases: area, area times time, and parts that add up."""

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory import operations
from inventory.costing.occupancy import Stay, room_of_one, stays
from inventory.costing.spacing import area_per_plant
from inventory.queries.bills import Asked, share_out
from inventory.queries.occupancy import occupancy, square_metre_days
from inventory.queries.space import space_used
from nursery.money import to_millionths
from tests.bill_scenes import FIRST, LAST, bill, house, lot_in, parts_of, spaced
from tests.factories import container, lot_holding, sell_from

SQUARE_METRES_IN_SQUARE_FOOT = Fraction("0.09290304")
CENT = Decimal("0.01")


def cents(amount) -> Decimal:
    return Decimal(amount.numerator / amount.denominator).quantize(CENT)


# One pot of 10 × 10 cm stands for one unit of the source's area below.


@pytest.mark.django_db
def test_rent_by_floor_area_of_two_departments():
    """C1: OpenStax, Principles of Accounting 2, section 4.2, read: 30,000 over 4,000 and
    6,000 ft² is 12,000 and 18,000."""
    place = house()
    lot_in(place, 4_000, "A")
    lot_in(place, 6_000, "B")

    assert parts_of(bill("30000", place=place)) == {"A": 12_000, "B": 18_000}


@pytest.mark.django_db
def test_heating_by_floor_area():
    """C2: OpenStax, Principles of Accounting 2, section 6.3 with answer key, read: 21,000
    over 500 + 200 ft² is 30.00 a square foot; 15,000 and 6,000 computed from it."""
    place = house()
    lot_in(place, 500, "A")
    lot_in(place, 200, "B")

    assert parts_of(bill("21000", place=place)) == {"A": 15_000, "B": 6_000}


@pytest.mark.django_db
def test_rent_by_the_area_of_three_departments():
    """C6: getrevising.co.uk, chapter 13 (S3), read: 12,800 over 150, 120 and 50 m²."""
    place = house()
    for code, area in (("A", 150), ("B", 120), ("C", 50)):
        lot_in(place, area, code)

    assert parts_of(bill("12800", place=place)) == {"A": 6_000, "B": 4_800, "C": 2_000}


def test_square_foot_weeks_of_a_bench():
    """EX-17 and C10: Fisher, Five Keys to Accurate Greenhouse Production Costing,
    greenhousegrower.com (S2), read: 40,000 ft² × 75 % × 52 weeks = 1,560,000;
    1,000,000 over it is 0.64."""
    full = Fraction(40_000) * 75 / 100
    weeks = 52
    found = stays(int(full), (), [(1, 7)], 1, weeks * 7)

    square_foot_weeks = Fraction(found[7].plant_days, 7)

    assert square_foot_weeks == 1_560_000
    assert cents(1_000_000 / square_foot_weeks) == Decimal("0.64")


def test_a_plant_of_half_a_square_foot_for_eight_weeks():
    """EX-18 and C10: the same source; 4 square-foot-weeks at 0.641026 or 0.64 are 2.56
    (inputs read, product derived)."""
    (stay,) = stays(1, (), [(1, 7)], 1, 56).values()

    used = Fraction(1, 2) * stay.plant_days / 7

    assert used == 4
    assert cents(used * Fraction(1_000_000, 1_560_000)) == Decimal("2.56")
    assert cents(used * Fraction(64, 100)) == Decimal("2.56")


def test_overhead_of_geraniums_by_square_foot_weeks():
    """EX-19: Rutgers, Geraniums, 4-inch pots, farmmgmt.rutgers.edu, read: 10,000 units of
    0.11 ft² for 6 weeks bear 1,763 of overhead, 0.18 a unit; 6,600 square-foot-weeks and
    0.2671 for each are derived."""
    (stay,) = stays(10_000, (), [(1, 7)], 1, 42).values()

    used = Fraction(11, 100) * stay.plant_days / 7

    assert used == 6_600
    assert round(float(1_763 / used), 4) == 0.2671
    assert cents(Fraction(1_763, 10_000)) == Decimal("0.18")
    direct = (660, 600, 500, 200, 1_240, 1_647, 0)
    assert sum(direct) == 4_847
    assert 11_400 - sum(direct) - 1_763 == 4_790


@pytest.mark.django_db
def test_the_space_page_counts_square_foot_weeks_as_the_budgets_do():
    """EX-17 on a smaller bench: three quarters full, its bill over the space in use."""
    spaced("#1", None)
    place = house("40.00")
    lot_in(place, 3_000, "A")
    bill("1000", place=place)

    (row,) = space_used(FIRST, LAST).rows

    assert row.used_percent == 75
    square_foot_weeks = row.used_area_days / 7 / SQUARE_METRES_IN_SQUARE_FOOT
    assert row.cost / square_foot_weeks == (
        row.cost_per_area_day * 7 * SQUARE_METRES_IN_SQUARE_FOOT
    )


@pytest.mark.django_db
def test_empty_space_left_out_makes_each_plant_look_cheaper():
    """University of Florida authors, growertalks.com, 1 November 2018, read: where space use
    is over-estimated, the cost of each plant is under-estimated. Expensing the unused quarter
    takes it off the plants; it does not vanish."""
    spaced("#1", None)
    place = house("40.00")
    lot_in(place, 3_000, "A")

    borne = share_out(Asked("heat", Decimal(1_000), FIRST, LAST, place))
    expensed = share_out(Asked("heat", Decimal(1_000), FIRST, LAST, place, unused="expense"))

    assert [part.amount for part in borne.parts] == [1_000_000_000]
    assert [part.amount for part in expensed.parts] == [750_000_000]
    assert expensed.unused_amount == 250_000_000


def test_room_of_pots_set_square_and_on_the_diagonal():
    """EX-13 and EX-14: GPN, Grower 101: Calculations Part IV: Spacing Containers, read: on
    100 ft² 6-inch spacing holds 400 set square, 462 diagonally; 10-inch square holds 144."""
    hundred_square_feet = 100 * 144
    assert hundred_square_feet / area_per_plant(6) == 400
    assert round(hundred_square_feet / area_per_plant(6, "diagonal")) == 462
    assert hundred_square_feet / area_per_plant(10) == 144
    assert room_of_one(17, 20) == 200 * 200
    assert room_of_one(17, None, "diagonal") == 170 * 170, "pot to pot stands square"
    assert room_of_one(17, 20, "diagonal") == round(200 * 200 * 3**0.5 / 2)
    assert room_of_one(None, None) is None


@pytest.mark.django_db
def test_five_cents_are_shared_30_to_70():
    """D1: Fowler, Patterns of Enterprise Application Architecture, Money (S2/S3), read: five
    cents over 30 and 70 are 2 and 3, here five millionths."""
    place = house()
    lot_in(place, 30, "A")
    lot_in(place, 70, "B")

    parts = parts_of(bill("0.000005", place=place))

    assert parts == {"A": Decimal("0.000002"), "B": Decimal("0.000003")}


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("plants", "amount", "parts"),
    [((50, 30, 20), 7, [4, 2, 1]), ((500, 300, 110, 20), 4, [2, 1, 1])],
)
def test_parts_go_by_largest_remainder(plants, amount, parts):
    """D3 (a) and (b), read, S3: 50/30/20 of seven, 500/300/110/20 of four. The lot whose
    part is nothing has no entry."""
    place = house()
    for number, quantity in enumerate(plants):
        lot_in(place, quantity, f"L{number}")

    entered = bill(str(Decimal(amount) / 1_000_000), place=place)

    assert [to_millionths(part) for _, part in sorted(parts_of(entered).items())] == parts


DAYS = st.integers(1, 40)
HISTORY = st.tuples(
    st.integers(0, 500),
    st.lists(st.tuples(DAYS, st.integers(-20, 20).filter(bool)), max_size=6),
    st.lists(st.tuples(st.integers(-5, 40), st.integers(1, 3)), max_size=4),
)


def by_walking_the_days(opening, changes, placements, first, last):
    """Return {place: stay} by looking at the end of each day, one after another."""
    found = {}
    for day in range(first, last + 1):
        plants = opening + sum(number for on, number in changes if on <= day)
        stood = [place for on, place in placements if on <= day]
        place = stood[-1] if stood else None
        if plants > 0:
            before = found.get(place)
            so_far = before.plant_days if before else 0
            found[place] = Stay(so_far + plants, day, plants)
    return found


@given(HISTORY, st.integers(1, 20), st.integers(0, 20))
def test_stays_are_those_of_a_walk_through_the_days(history, first, more):
    opening, changes, placements = history
    changes = sorted((max(day, first), number) for day, number in changes)
    placements = sorted(placements, key=lambda pair: pair[0])
    last = first + more

    found = stays(opening, changes, placements, first, last)

    assert found == by_walking_the_days(opening, changes, placements, first, last)


LOTS = st.lists(
    st.tuples(st.integers(1, 400), st.integers(0, 40), st.integers(0, 35)), min_size=1, max_size=6
)
AMOUNTS = st.integers(1, 10**11).map(lambda n: Decimal(n) / 1_000_000)


@pytest.mark.django_db
@settings(max_examples=15, deadline=None)
@given(lots=LOTS, amount=AMOUNTS, unused=st.sampled_from(["plants", "expense"]))
def test_the_parts_of_a_bill_add_up_over_random_occupancies(lots, amount, unused):
    """Lots come before or within the span, lose plants, are sold out or moved away."""
    with transaction.atomic():
        place, away = house("9.00"), house("5.00")
        for number, (quantity, came, left) in enumerate(lots):
            lot = lot_in(place, quantity, f"L{number}", on=FIRST - timedelta(days=5 - came % 30))
            leaving = lot.began_on + timedelta(days=left)
            if number % 2:
                sell_from(lot, max(quantity // 2, 1), on=leaving)
            else:
                operations.move(lot=lot, place=away, on=leaving, request_id=uuid4())
        used = occupancy(FIRST, LAST, place)
        if used or unused == "expense":
            entered = bill(str(amount), place=place, unused=unused)
            parts = parts_of(entered)
            shared = sum(part for part in parts.values() if part)
            assert shared + entered.unused_amount == amount
            area = square_metre_days(sum(one.area_days for one in used.values()))
            assert area >= 0
        transaction.set_rollback(True)


@pytest.mark.django_db
def test_occupancy_follows_plants_from_pot_to_pot():
    """Common practice: what stood ten days in trays and then in pots is counted as both."""
    spaced("tray", None, footprint=5)
    spaced("#1", 20, footprint=17)
    tray = lot_holding(100, "T", size="tray", on=FIRST)
    operations.pot_up(
        lot=tray,
        quantity=100,
        to_lot="P",
        container=container("#1"),
        on=FIRST + timedelta(days=10),
        request_id=uuid4(),
    )

    used = {one.plant_days: one for one in occupancy(FIRST, LAST).values()}

    assert square_metre_days(used[1_000].area_days) == Fraction(25, 10)
    assert square_metre_days(used[2_100].area_days) == 84
    assert used[1_000].last_day == FIRST + timedelta(days=9)
