"""Check age classes against the notations that forest and hardy nurseries publish."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.age import Age, age_class, age_in_words, parse_age, seasons_ended

DAYS = st.dates(date(1990, 1, 1), date(2040, 12, 31))
SEASON_ENDS = st.sampled_from([(9, 30), (3, 31), (2, 29), (12, 31), (1, 1)])


@pytest.mark.parametrize(
    ("text", "total"),
    [("2-0", 2), ("2-2", 4), ("1+1", 2), (".5+.5", 1), ("1u1", 2), ("2u2", 4)],
)
def test_the_age_is_the_sum_of_its_parts(text, total):
    """EX-41: Minnesota DNR; British Columbia Ministry of Forests, Table 1; National Plant
    Specification (1u1 and 2u2 quoted by another text, as is 1+1 for a 2-year transplant)."""
    assert parse_age(text).total == total


def test_slash_and_plus_are_used_alike():
    """National Plant Specification, term T3.2, quoted by another text."""
    assert parse_age("1/0") == parse_age("1+0")
    assert parse_age("2/0").total == 2


def test_an_undercut_plant_was_not_transplanted():
    """National Plant Specification, quoted by another text."""
    assert parse_age("1u1") == Age(parts=(Decimal(1), Decimal(1)), undercut=True)


def test_a_slash_after_nought_is_a_rooted_cutting():
    """European trade use, from memory."""
    assert parse_age("0/1/1") == Age(parts=(Decimal(0), Decimal(1), Decimal(1)), cutting=True)
    assert parse_age("0/2").total == 2


def test_a_plug_tells_only_its_years_in_the_transplant_bed():
    """USDA Forest Service, Plug+1 proceedings paper (1990), and a stock-type guide."""
    assert parse_age("P+1") == Age(parts=(Decimal(1),), plug=True)
    assert parse_age("P0").total == 0


def test_halves_and_dashes_may_be_typed_as_print_has_them():
    assert parse_age("½+½") == parse_age(".5+.5")
    assert parse_age(" 2 – 0 ") == parse_age("2-0")


@pytest.mark.parametrize("text", ["", "2", "1+", "1+1-1", "x+1", "-1+0", "1.+1", "P", "P+x"])
def test_what_is_no_age_class_is_refused_in_words(text):
    with pytest.raises(ValueError, match="write seasons such as 1\\+1"):
        parse_age(text)


def test_a_season_counts_once_its_last_day_lies_behind():
    """The ledger's own convention: start <= last day < end."""
    last_day = date(2025, 9, 30)
    day = timedelta(days=1)

    assert seasons_ended(date(2025, 5, 1), last_day) == 0, "still running on its last day"
    assert seasons_ended(date(2025, 5, 1), last_day + day) == 1
    assert seasons_ended(last_day, last_day + day) == 1, "begun on the last day"
    assert seasons_ended(last_day + day, date(2026, 9, 30)) == 0
    assert seasons_ended(date(2025, 5, 1), date(2025, 5, 1)) == 0
    assert seasons_ended(date(2026, 5, 1), date(2025, 5, 1)) == 0, "never less than none"


def test_a_season_that_ends_on_29_february_ends_on_the_28th_in_other_years():
    assert seasons_ended(date(2025, 1, 1), date(2025, 3, 1), season_end=(2, 29)) == 1
    assert seasons_ended(date(2024, 2, 29), date(2024, 3, 1), season_end=(2, 29)) == 1


@given(st.tuples(DAYS, DAYS, DAYS).map(sorted), SEASON_ENDS)
def test_the_seasons_of_two_spans_that_meet_add_up(days, season_end):
    start, middle, end = days
    apart = seasons_ended(start, middle, season_end) + seasons_ended(middle, end, season_end)

    assert apart == seasons_ended(start, end, season_end)
    written = parse_age(age_class(start, middle, end, season_end))
    assert written.total == apart


STUCK = date(2023, 11, 20)
POTTED = date(2025, 4, 20)


@pytest.mark.parametrize(
    ("on", "words"),
    [
        (date(2023, 12, 24), "0+0, rooting, before the first season"),
        (date(2024, 6, 1), "0+0, rooting, first season"),
        (date(2024, 12, 1), "1+0, after the first season, not potted up yet"),
        (date(2025, 4, 19), "1+0, second season, not potted up yet"),
        (date(2025, 4, 20), "1+0, first season in the pot"),
        (date(2025, 9, 30), "1+0, first season in the pot"),
        (date(2025, 12, 1), "1+1, after the first season in the pot"),
        (date(2026, 5, 1), "1+1, second season in the pot"),
        (date(2036, 5, 1), "1+11, 12th season in the pot"),
    ],
)
def test_the_age_is_said_in_words(on, words):
    """The ledger's own wording."""
    assert age_in_words(STUCK, POTTED, on) == words


def test_potted_in_autumn_waits_for_its_first_season():
    words = age_in_words(date(2024, 7, 1), date(2024, 10, 20), date(2025, 1, 5))

    assert words == "1+0, before the first season in the pot"


def test_sown_plants_in_a_bed_are_not_said_to_root_in_a_pot():
    sown, lined_out = date(2025, 5, 1), date(2026, 4, 10)
    wording = {"beginning": "seedlings", "setting": "in the bed"}

    assert age_in_words(sown, None, date(2025, 6, 1), **wording) == "0+0, seedlings, first season"
    assert age_in_words(sown, lined_out, date(2026, 6, 1), **wording).endswith("season in the bed")


def test_south_of_the_equator_the_season_runs_over_the_new_year():
    """Common practice: October to March."""
    season = {"season_start": (10, 1), "season_end": (3, 31)}
    struck, potted = date(2024, 5, 10), date(2025, 9, 15)

    assert age_in_words(struck, None, date(2025, 1, 10), **season) == "0+0, rooting, first season"
    assert age_class(struck, None, date(2025, 4, 1), (3, 31)) == "1+0"
    words = age_in_words(struck, potted, date(2026, 12, 1), **season)
    assert words == "1+1, second season in the pot"
