"""The age of a lot in words, as its page says it."""

from datetime import date

import pytest

from inventory.queries.ages import age_of
from tests.factories import NurseryFactory, lot_holding
from tests.growing_scenes import potted_lot

pytestmark = pytest.mark.django_db


def test_a_potted_lot_counts_the_seasons_in_the_pot():
    NurseryFactory()

    assert age_of(potted_lot(), date(2026, 5, 1)) == "0+1, second season in the pot"


def test_a_tray_says_that_its_plants_are_not_potted_up():
    tray = lot_holding(9, size="tray", on=date(2024, 11, 4))

    assert age_of(tray, date(2024, 12, 1)) == "0+0, rooting, before the first season"
    assert age_of(tray, date(2026, 5, 1)) == "1+0, second season, not potted up yet"


def test_plants_that_came_in_a_pot_are_not_called_unpotted():
    lot = lot_holding(9, size="#1", kind="opening", on=date(2023, 10, 7))

    assert age_of(lot, date(2023, 11, 1)) == "0+0, in the pot, before the first season"
    assert age_of(lot, date(2026, 5, 1)) == "2+0, third season"


def test_the_nursery_chooses_its_season():
    NurseryFactory(season_start_month=10, season_end_month=3)

    assert age_of(potted_lot(), date(2026, 1, 5)) == "1+0, first season in the pot"
