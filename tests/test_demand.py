"""What sold in years gone by says how many to have for the next."""

import re
from datetime import date
from statistics import NormalDist
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone
from scipy.stats import lognorm, norm, uniform

from sales import operations
from sales.demand import (
    corrected,
    critical_ratio,
    demand_ahead,
    enough,
    over_lead_time,
    seasonal_indices,
    smoothed,
)
from sales.queries.demand import demand
from tests.entering import as_grower
from tests.factories import give_price, lot_holding, sell_from
from tests.faults.clock import set_back

NOW = date(2026, 11, 25)


def test_newsvendor_with_price_7_and_cost_5():
    """H1 (READ): uniform 50 to 80 gives 58.57, lognormal(50, .2) 44.65; H2 (from memory) 15."""
    ratio = critical_ratio(7, 5)

    assert uniform(50, 30).ppf(ratio) == pytest.approx(58.57, abs=0.005)
    assert enough(uniform(50, 30), ratio) == 59
    assert lognorm(0.2, scale=50).ppf(ratio) == pytest.approx(44.65, abs=0.005)
    # Too many cost 15 cents, too few 50: Nahmias, Production and Operations Analysis.
    assert enough(norm(11.73, 4.74), critical_ratio(0.75, 0.25, 0.10)) == 15


def test_demand_over_a_lead_time_is_spread_by_its_root():
    """H4. Taylor, Introduction to Management Science ch. 16: 1.65 × 5 × √10 is 26.1."""
    assert 1.65 * over_lead_time(5, 10) == pytest.approx(26.1, abs=0.05)


def test_exponential_smoothing():
    """H6 (READ, wongsteve.com): alpha .3, the first forecast is the first actual."""
    forecasts = smoothed([99, 88, 50, 58, 62, 60, 55, 62, 71, 65], 0.3)

    assert [round(value, 1) for value in forecasts[1:5]] == [99.0, 95.7, 82.0, 74.8]
    assert forecasts[-1] == pytest.approx(65.431, abs=0.001)


def test_seasonal_indices_are_corrected_to_a_mean_of_100():
    """H8 (READ, course text; the exact ones): 92.05, 117.36, 102.12, 88.46."""
    indices = corrected([92.77, 118.28, 102.92, 89.15])

    assert [round(index, 2) for index in indices] == [92.05, 117.36, 102.12, 88.46]
    assert seasonal_indices([[1, 3], [0, 0], [3, 1]]) == [100, 100]


def test_few_years_make_a_wide_range():
    """Student's t with one degree of freedom: its quantile at .9 is 3.078 (common tables)."""
    two, five = demand_ahead([100, 120]), demand_ahead([100, 120, 100, 120, 110])

    assert enough(two, 0.5) == 110
    assert enough(two, 0.9) > enough(five, 0.9) > 110 + NormalDist().inv_cdf(0.9) * 10
    assert enough(demand_ahead([100, 120], 2), 0.9) > enough(two, 0.9)


@pytest.fixture
def two_years(db):
    lot = lot_holding(500, on=date(2023, 1, 2), medium="500.00")
    give_price(lot, "10.00")
    for year, spring, autumn in ((2024, 60, 40), (2025, 80, 40), (2026, 90, 50)):
        sell_from(lot, spring, "10.00", on=date(year, 5, 4))
        sell_from(lot, autumn, "10.00", on=date(year, 9, 6))
    return lot


def test_the_next_year_by_plant_and_by_month(two_years):
    """Since May 2024 two whole years went by that end with October 2026: 80 + 40, 90 + 50."""
    found = demand(NOW)
    [row] = found.rows

    assert (found.months.years, row.years) == (2, [120, 140])
    # Smoothed with one half: 120, then 130. What is free counts towards it.
    assert (row.expected, row.free) == (130, 140)
    assert row.low < 130 < row.high and row.to_begin == row.enough - 140
    season = {name: (before, expected) for name, before, expected in found.season}
    assert season[date(2027, 5, 1)][0] == 90 and season[date(2027, 1, 1)] == (0, 0)
    assert sum(expected for _, expected in season.values()) == pytest.approx(130, abs=3)


def test_plants_that_came_back_did_not_sell(two_years):
    sale = sell_from(two_years, 10, "10.00", on=date(2026, 6, 1))
    before = demand(NOW).rows[0].years[-1]
    facts = {"on": date(2026, 6, 9), "restock": True, "request_id": uuid4()}
    operations.take_back(document=sale, plants=[(two_years, 10)], **facts)

    assert demand(NOW).rows[0].years[-1] == before - 10


def test_one_that_still_brings_much_when_left_over_is_worth_having_plenty_of(two_years):
    careful, generous = demand(NOW).rows[0], demand(NOW, left_over=90).rows[0]

    assert generous.enough > careful.enough


def test_the_page_says_what_may_sell_and_less_than_two_years_say_nothing(client, two_years):
    as_grower(client)
    with set_back(timezone.localdate() - NOW):
        text = client.get(reverse("sales:demand")).content.decode()
        sheet = client.get(reverse("sales:demand"), {"_export": "csv"}).content.decode()
    assert "plants may sell in the next twelve months" in text and ",140,120,130," in sheet
    assert client.get(reverse("sales:demand-chart")).status_code == 200
    wanted = re.search(r'href="(/targets/add/[^"]+)">Plan (\d+)<', text)
    form = client.get(wanted[1].replace("&amp;", "&")).content.decode()
    assert f'name="quantity" value="{wanted[2]}"' in form


def test_less_than_two_years_tell_only_what_sold(client, db):
    lot = lot_holding(50)
    sell_from(lot, 5, "10.00")
    as_grower(client)

    text = client.get(reverse("sales:demand")).content.decode()

    assert "Two whole years of sales" in text and "may sell in the next" not in text
