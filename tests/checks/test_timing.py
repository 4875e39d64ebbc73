"""When steps are due, how a hormone is thinned, when a right ends; each beside its source."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import pytest

from inventory.hormone import dilute, milligrams_in
from inventory.queries.work_list import Week
from inventory.rights import last_day_of_patent
from inventory.step_days import read_offset
from inventory.timing import Span, Window, windows


@dataclass
class Step:
    pk: int = 1
    timing: str = "days"
    from_days: int = 0
    to_days: int = 0
    after_id: int | None = None


NORTH = {"last_frost": (5, 5), "first_frost": (10, 15), "season_start": (4, 1)}
SOUTH = {"last_frost": (9, 20), "first_frost": (5, 20), "season_start": (10, 1)}


# University note on Taxus baccata 'Fastigiata Aurea' (Univ. of Florida LPPI sp371), 10 to 14
# weeks; Cephalotaxus, 16 weeks (HortScience 31(2):222, 1996). The dates are arithmetic.
@pytest.mark.parametrize(
    ("stuck", "weeks", "first", "last"),
    [
        (date(2025, 11, 20), (10, 14), date(2026, 1, 29), date(2026, 2, 26)),
        (date(2025, 1, 15), (16, 16), date(2025, 5, 7), date(2025, 5, 7)),
    ],
)
def test_weeks_after_sticking(stuck, weeks, first, last):
    step = Step(from_days=weeks[0] * 7, to_days=weeks[1] * 7)

    assert windows([step], stuck, {}) == {1: Window(first, last)}


# Nursery Management: cover 30 or 45 days after the first frost. The article prints 15 and
# 30 November for a frost on 15 October; by the calendar it is 14 and 29 November.
def test_days_after_the_first_frost():
    cover = Step(timing="first_frost", from_days=30, to_days=45)

    assert windows([cover], date(2026, 6, 10), NORTH)[1] == Window(
        date(2026, 11, 14), date(2026, 11, 29)
    )


def test_south_of_the_equator_the_next_frost_is_in_the_other_half_of_the_year():
    cover = Step(timing="first_frost", from_days=30, to_days=45)

    assert windows([cover], date(2026, 1, 10), SOUTH)[1].first == date(2026, 6, 19)


def test_a_step_counts_from_the_day_another_was_done_else_from_its_days():
    count = Step(1, from_days=70, to_days=98)
    feed = Step(2, from_days=7, to_days=21, after_id=1)
    stuck, done = date(2025, 11, 20), date(2026, 2, 20)

    planned = windows([count, feed], stuck, {})[2]
    known = windows([count, feed], stuck, {}, {1: done})[2]

    assert planned == Window(date(2026, 2, 5), date(2026, 3, 19))
    assert known == Window(date(2026, 2, 27), date(2026, 3, 13))


def test_steps_in_a_ring_and_a_frost_nobody_told_have_no_days():
    ring = [Step(1, after_id=2), Step(2, after_id=1)]

    assert set(windows(ring, date(2026, 1, 1), {}).values()) == {None}
    assert windows([Step(timing="last_frost")], date(2026, 1, 1), {"last_frost": None}) == {1: None}


def test_a_stretch_over_the_new_year_and_one_that_has_begun():
    winter = Span((11, 15), (2, 28))

    assert winter.next_from(date(2026, 1, 3)) == Window(date(2025, 11, 15), date(2026, 2, 28))
    assert winter.next_from(date(2026, 3, 1)).first == date(2026, 11, 15)


@pytest.mark.parametrize(("day", "state"), [(1, "coming"), (2, "due"), (4, "due"), (5, "overdue")])
def test_the_last_day_of_its_time_still_counts(day, state):
    assert Window(date(2026, 1, 2), date(2026, 1, 4)).state(date(2026, 1, day)) == state


# C1 × V1 = C2 × V2; 1 ppm is 1 mg/L, 0.8 % is 8,000 ppm (a forest nursery's note on yew; the
# rest is arithmetic).
def test_a_hormone_is_thinned_by_strength_times_volume():
    made = dilute(10_000, 3_000, Decimal(100))

    assert (made.stock_ml, made.water_ml) == (Decimal("30.0"), Decimal("70.0"))
    assert milligrams_in(10_000, Decimal(1000)) == 10_000, "10,000 ppm is 10 g in a litre"
    with pytest.raises(ValueError, match="water only makes it weaker"):
        dilute(3_000, 8_000, Decimal(100))


# ISO weeks as in the PostgreSQL manual and vendors' documents.
@pytest.mark.parametrize(
    ("day", "code"),
    [
        (date(2005, 1, 1), "2004-W53"),
        (date(2006, 1, 1), "2005-W52"),
        (date(2012, 12, 31), "2013-W01"),
        (date(2016, 1, 3), "2015-W53"),
        (date(2014, 12, 29), "2015-W01"),
        (date(1996, 12, 31), "1997-W01"),
    ],
)
def test_weeks_are_numbered_by_iso_8601(day, code):
    assert Week.of(day).code == code


# 35 USC 154(a)(2), 20 years from filing; that the last day is still blocked is a cautious reading.
def test_a_patent_holds_through_the_day_twenty_years_after_its_filing():
    assert last_day_of_patent(date(2006, 3, 14)) == date(2026, 3, 14)
    assert last_day_of_patent(date(2080, 2, 29)) == date(2100, 2, 28)


@pytest.mark.parametrize(
    ("text", "days"),
    [("14", 14), ("10 weeks", 70), ("2 weeks before", -14), ("−3", -3), ("1 wk after", 7)],
)
def test_days_are_read_as_people_write_them(text, days):
    assert read_offset(text) == days


def test_what_is_no_number_of_days_is_refused():
    with pytest.raises(ValueError, match="Write 14, 10 weeks"):
        read_offset("soon")
