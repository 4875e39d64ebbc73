"""Read names, pots, days and numbers the way growers write them; ask where it is unsure."""

from collections import Counter
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.age import age_class
from inventory.containers import container_volume_litres
from inventory.names import epithet_length
from inventory.notebook.columns import guess_heading_row, guess_matching
from inventory.notebook.days import DayReader, Seasons, Unclear
from inventory.notebook.numbers import amount, decimal_mark, whole_number
from inventory.notebook.plant_names import PlantNames, by_the_codes
from inventory.notebook.pots import Pots
from tests.checks.test_containers import CLASSES, CONTAINERS
from tests.untidy_notebook import untidy

POTS = Pots({row["code"]: row["name"] for row in CONTAINERS}, tuple(CLASSES))
NORTH = Seasons(date(2025, 11, 25), (4, 1), (9, 30))
SOUTH = Seasons(date(2025, 11, 25), (10, 1), (3, 31))


def names(*spellings, known=(), answers=None):
    from inventory.names import search_key

    listed = {search_key(name): name for name in known}
    return PlantNames(Counter(spellings), listed, {}, answers or {}).readings


@pytest.mark.parametrize(
    ("written", "right"),
    [
        ("thuja occ. smaragd", "Thuja occidentalis 'Smaragd'"),
        ("Thuja occidentalis Smaragd", "Thuja occidentalis 'Smaragd'"),
        ("buxus semprevirens", "Buxus sempervirens"),
        ("juniperus hor. wiltonii", "Juniperus horizontalis 'Wiltonii'"),
        ("Taxus media Hicksii", "Taxus ×media 'Hicksii'"),
        ("ILEX VERTICILLATA 'RED SPRITE'", "Ilex verticillata 'Red Sprite'"),
        ("Rosa 'cloth of gold'", "Rosa 'Cloth of Gold'"),
        ("Rosa 'DVP'", ""),
        ("Boxwood mixed", ""),
        ("Thuja 1", ""),
    ],
)
def test_a_short_name_is_written_out_by_the_codes(written, right):
    """ICNCP (9th edition): the cultivar in single quotation marks. Common practice besides."""
    assert by_the_codes(written) == right


def test_spellings_of_a_hybrid_need_no_word_and_double_quotes_are_repaired():
    """EX-53: the × is disregarded (H.3.3); double quotation marks become single ones."""
    spellings = ("Taxus x media 'Hicksii'", "Taxus ×media 'Hicksii'", 'Taxus media "Hicksii"')
    readings = names(*spellings, known=["Taxus ×media 'Hicksii'"])

    assert {reading.name for reading in readings.values()} == {"Taxus ×media 'Hicksii'"}
    assert not any(reading.is_open or reading.is_new for reading in readings.values())


@pytest.mark.parametrize(("epithet", "length"), [("Wiltonii", 8), ("Bennett's Compacta", 17)])
def test_a_written_out_cultivar_keeps_every_letter(epithet, length):
    """EX-52 (derived): 'Wiltonii' 8, "Bennett's Compacta" 17 (apostrophe counts)."""
    right = by_the_codes(f"ilex crenata {epithet}")

    assert epithet_length(right) == length


def test_a_misspelt_plant_is_offered_the_nearest_and_never_changed_silently():
    readings = names("Thuja occidentalis 'Smargd'", known=["Thuja occidentalis 'Smaragd'"])
    reading = readings["Thuja occidentalis 'Smargd'"]

    assert reading.is_open and reading.name == "Thuja occidentalis 'Smargd'"
    assert reading.offers == ("Thuja occidentalis 'Smaragd'",)


def test_spellings_of_one_name_count_together_and_need_no_word_where_one_is_right():
    loose, misspelt = ["cornus alba elegantissima"] * 4, ["Cornus alba 'Elegantisima'"] * 4
    readings = names(*loose, *misspelt, "Cornus alba 'Elegantissima'", "Cornus 'Elegantissima'")
    right = "Cornus alba 'Elegantissima'"

    assert readings[loose[0]].name == right and not readings[loose[0]].is_open
    assert readings[misspelt[0]].offers[0] == right
    assert readings["Cornus 'Elegantissima'"].offers[0] == right


def test_of_two_new_names_the_rarer_is_asked_about_and_numbers_keep_them_apart():
    often = ["Aster mixture rose"] * 3
    readings = names(*often, "Aster mixtur rose", "Phlox No 1", "Phlox No 2")

    assert readings["Aster mixtur rose"].offers == ("Aster mixture rose",)
    assert not any(readings[name].is_open for name in ("Aster mixture rose", "Phlox No 2"))


def test_an_answer_settles_every_row_of_the_spelling():
    readings = names("thuja sm", answers={"thuja sm": "Thuja occidentalis 'Smaragd'"})

    assert readings["thuja sm"].name == "Thuja occidentalis 'Smaragd'"


@pytest.mark.parametrize(
    ("written", "code"),
    [
        # EX-1 (derived from the ranges of ANSI Z60.1).
        *(("173 in³", "#1"), ("370 in3", "#2"), ("700 cu in", "#3"), ("800 in³", "#5")),
        # EX-3: Pacific Bulb Society list, July 2008, read; classes derived.
        *(("153/135/175 mm", "#1"), ("19.8 x 17 x 21.1 cm", "#2"), ("2.9 L", "#1")),
        # A gap between two classes is asked about, as is what nobody knows.
        *(("2.5 gal", ""), ("500 in³", ""), ("gift pot", ""), ("", ""), ("0/0/0 mm", "")),
        # Common practice.
        *(("#1", "#1"), ("3", "#3"), ("No. 2", "#2"), ("1 gal", "#1"), ("trays", "tray")),
    ],
)
def test_a_pot_is_read_by_its_class_or_its_measures(written, code):
    assert POTS.read(written) == code


def test_the_measures_of_a_pot_give_the_published_volume():
    """EX-3: 2.9 L and 5.6 L published."""
    volumes = [container_volume_litres(*pot) for pot in ((153, 135, 175), (198, 170, 211))]
    assert [round(volume, 1) for volume in volumes] == [2.9, 5.6]


def since(text, *others, orders=None, seasons=NORTH):
    return DayReader([text, *others], seasons, orders or {}).since(text)


@pytest.mark.parametrize(
    ("written", "day"),
    [
        *(("2024-04-12", date(2024, 4, 12)), ("25.4.2024", date(2024, 4, 25))),
        *(("12 Apr 2024", date(2024, 4, 12)), ("April 12, 2024", date(2024, 4, 12))),
        *(("Apr 2024", date(2024, 4, 1)), ("04/2024", date(2024, 4, 1))),
        *(("2023", date(2023, 4, 1)), ("spring 2024", date(2024, 4, 1))),
        *(("fall '23", date(2023, 10, 1)), ("4/25/24", date(2024, 4, 25))),
    ],
)
def test_since_when_is_read_in_any_style(written, day):
    assert since(written).began_on == day


def test_a_season_and_a_year_are_half_a_year_apart_in_the_south():
    assert since("spring 2024", seasons=SOUTH).began_on == date(2024, 10, 1)
    assert since("2023", seasons=SOUTH).began_on == date(2023, 10, 1)


def test_a_25_in_the_first_place_decides_for_the_whole_column():
    assert since("03/04/2024", "25/04/2024").began_on == date(2024, 4, 3)
    assert since("03/04/2024", "04/25/2024").began_on == date(2024, 3, 4)


@pytest.mark.parametrize("others", [(), ("25/04/2024", "04/26/2024")])
def test_where_both_readings_stay_possible_it_is_asked(others):
    with pytest.raises(Unclear, match="4 March") as asked:
        since("03/04/2024", *others)

    assert asked.value.asks == "/"
    assert since("03/04/2024", *others, orders={"/": "day"}).began_on == date(2024, 4, 3)
    assert since("04/04/2024", *others).began_on == date(2024, 4, 4)


@pytest.mark.parametrize("written", ["31.02.2024", "soon", "45123", ".5+.5", "2030-01-01", "99+99"])
def test_what_is_no_day_is_told_and_not_guessed(written):
    with pytest.raises(Unclear):
        since(written)


@pytest.mark.parametrize("seasons", [NORTH, SOUTH])
@given(
    before=st.integers(0, 9),
    after=st.integers(1, 9),
    counted=st.dates(date(2000, 1, 1), date(2060, 1, 1)),
)
def test_an_age_leads_back_to_days_that_have_that_age(seasons, before, after, counted):
    seasons = Seasons(counted, seasons.start, seasons.end)

    found = since(f"{before}+{after}", seasons=seasons)

    ended = age_class(found.began_on, found.potted_on, counted, seasons.end)
    assert ended == f"{before}+{after}"
    assert found.began_on <= found.potted_on <= counted


@pytest.mark.parametrize(
    ("written", "number"),
    [
        *(("40", 40), ("1,200", 1200), ("1.200", 1200), ("ca. 40 pcs", 40), ("40.0", 40)),
        *(("0", 0), ("12,5", None), ("10-12", None), ("sold", None), ("", None), ("-3", None)),
    ],
)
def test_a_number_of_plants_is_whole(written, number):
    assert whole_number(written) == number


def test_the_decimal_mark_of_a_column_decides_what_three_places_are():
    assert decimal_mark(["3,20", "1.250", "4"]) == ","
    assert amount("1.250", ",") == 1250
    assert amount("1.250", ".") == Decimal("1.25")
    assert amount("1.250", "") is None
    assert amount("$1,234.50", "") == Decimal("1234.50")
    assert amount("3,20 €", "") == Decimal("3.20")


def test_columns_are_guessed_by_heading_and_by_what_stands_in_them():
    rows = untidy().rows
    assert guess_heading_row(rows) == 2
    expected = {"0": "place", "1": "plant", "2": "container", "3": "quantity"}
    assert guess_matching(rows, 2) == expected | {"4": "since", "5": "cost_each", "6": "note"}

    headless = [["Thuja plicata", "12", "#1"], ["Taxus baccata", "7", "#3"]]
    assert guess_heading_row(headless) == 0
    assert guess_matching(headless, 0) == {"0": "plant", "1": "quantity", "2": "container"}
